import { useEffect } from 'preact/hooks';
import { cannotTell, instructionWords } from '../../words/instruction.ts';
import { azimuthUntrusted } from '../../words/iron.ts';
import type { Feed } from './feed.ts';
import type { Choices } from './look.ts';
import type { Sounder } from './sound.ts';
import { toneFor } from '../../words/tone.ts';

const soundEveryMs = 50;
const speechEveryMs = 6_000;

/** Sound and speech for the chosen axis. Neither tells a bolt while there is no reading, or none that is to be trusted. */
export function useHearing(feed: Feed, sounder: Sounder, { axis, volume, speech }: Choices): void {
  useEffect(() => {
    const timer = setInterval(() => {
      const heard = chosen(feed, axis);
      const isTold = heard && !cannotTell(heard.errorDeg, heard.sigmaDeg);
      const tone = isTold ? toneFor(heard.errorDeg, heard.sigmaDeg) : undefined;
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
      const words = spokenWords(feed, axis);
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

function spokenWords(feed: Feed, axis: Choices['axis']): string {
  if (!feed.hasReading()) return feed.isOffClip() ? 'The board is off its clip.' : 'No reading.';
  const heard = chosen(feed, axis);
  return heard ? instructionWords(axis, heard.errorDeg, heard.sigmaDeg, heard.bolt) : azimuthUntrusted;
}

function chosen(feed: Feed, axis: Choices['axis']) {
  const { needles, knobs } = feed;
  if (!needles || !feed.hasReading() || needles.state === 'disturbed') return undefined;
  const { shown } = needles;
  return axis === 'azimuth'
    ? { errorDeg: needles.azimuthErrorDeg, sigmaDeg: shown.sigmaAzimuthErrorDeg, bolt: knobs?.azimuth }
    : { errorDeg: needles.altitudeErrorDeg, sigmaDeg: shown.sigmaAltitudeErrorDeg, bolt: knobs?.altitude };
}
