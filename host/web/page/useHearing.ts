import { useEffect } from 'preact/hooks';
import { instructionWords } from '../../words/instruction.ts';
import type { Feed } from './feed.ts';
import type { Choices } from './look.ts';
import type { Sounder } from './sound.ts';
import { toneFor } from './tone.ts';

const soundEveryMs = 50;
const speechEveryMs = 6_000;

/** Sound and speech for the chosen axis. Silent while there is no reading. */
export function useHearing(feed: Feed, sounder: Sounder, { axis, volume, speech }: Choices): void {
  useEffect(() => {
    const timer = setInterval(() => {
      const heard = chosen(feed, axis);
      const tone = heard && toneFor(heard.errorDeg, heard.sigmaDeg);
      sounder.play(tone, volume);
      const { dataset } = document.documentElement;
      dataset.tone = sounder.isOn && tone ? `${tone.pitchHz.toFixed(1)} Hz ${tone.beatsPerS.toFixed(2)}/s` : 'silent';
    }, soundEveryMs);
    return () => clearInterval(timer);
  }, [feed, sounder, axis, volume]);
  useEffect(() => {
    if (!speech || !('speechSynthesis' in window)) return undefined;
    const timer = setInterval(() => {
      if (speechSynthesis.speaking) return;
      const heard = chosen(feed, axis);
      const words = heard ? instructionWords(axis, heard.errorDeg, heard.sigmaDeg, heard.bolt) : 'No reading.';
      const spoken = new SpeechSynthesisUtterance(words.replaceAll('′', ' minutes').replaceAll('°', ' degrees'));
      spoken.volume = volume;
      spoken.lang = 'en';
      speechSynthesis.speak(spoken);
    }, speechEveryMs);
    return () => {
      clearInterval(timer);
      speechSynthesis.cancel();
    };
  }, [feed, axis, volume, speech]);
}

function chosen(feed: Feed, axis: Choices['axis']) {
  const { needles, knobs } = feed;
  if (!needles || !feed.hasReading()) return undefined;
  return axis === 'azimuth'
    ? { errorDeg: needles.azimuthErrorDeg, sigmaDeg: needles.sigmaAzimuthErrorDeg, bolt: knobs?.azimuth }
    : { errorDeg: needles.altitudeErrorDeg, sigmaDeg: needles.sigmaAltitudeErrorDeg, bolt: knobs?.altitude };
}
