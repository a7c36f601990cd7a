import { fitOneSensor, type OneSensorResult } from '../../calibration/tumble/oneSensor.ts';
import { fitTumble } from '../../calibration/tumble/fit.ts';
import type { TumbleResult, TumbleSample } from '../../calibration/tumble/types.ts';
import type { Hello } from '../../firmware-proto/wire.ts';
import type { CsvOptions } from '../capture/csv/options.ts';
import type { RecordedSample, Recording } from '../capture/recorded.ts';
import { openRecording, sayPassedOver } from '../capture/recording.ts';
import type { Site } from '../site/site.ts';
import { tumbleOptions } from '../steps/tumbleOptions.ts';
import { TumbleStore } from '../steps/tumbleReservoir.ts';

type FileTumble =
  | { kind: 'both'; result: TumbleResult; temperatureC: number | undefined; hello: Hello | undefined }
  | { kind: 'accelerometer' | 'magnetometer'; result: OneSensorResult; warnings: readonly string[] };

/**
 * Calibrates from a capture or a logger's CSV of any length in bounded memory. `site` is what the user named; else the
 * capture's own. Throws Failure where the file cannot be read.
 */
export async function tumbleFromFile(path: string, site: Site | undefined, csv?: CsvOptions): Promise<FileTumble> {
  const recording = await openRecording(path, csv);
  const place = site ?? recording.site;
  const options = tumbleOptions(place, recording.hello);
  const { accelerometer, magnetometer } = recording.has;
  const { samples, temperatureC } = await readAll(recording);
  sayPassedOver(recording);
  const { rawScale } = recording;
  if (accelerometer && magnetometer) {
    const both = samples.filter((sample): sample is RecordedSample & TumbleSample =>
      Boolean(sample.accelG && sample.fieldNt),
    );
    const result = fitTumble(
      both.map(({ accelG, fieldNt, timeS }) => ({ accelG, fieldNt, boardS: timeS })),
      { ...options, rawScale },
    );
    return { kind: 'both', result, temperatureC, hello: recording.hello };
  }
  const kind = accelerometer ? 'accelerometer' : 'magnetometer';
  const result = fitOneSensor(
    samples.flatMap((sample) => {
      const vector = accelerometer ? sample.accelG : sample.fieldNt;
      return vector ? [vector] : [];
    }),
    { sensor: kind, rawScale: rawScale[kind], length: kind === 'magnetometer' ? options.site?.fieldNt : 1 },
  );
  return { kind, result, warnings: recording.warnings };
}

async function readAll(recording: Recording): Promise<{ samples: RecordedSample[]; temperatureC: number | undefined }> {
  const store = new TumbleStore<RecordedSample>();
  let sum = 0;
  let warm = 0;
  for await (const sample of recording.samples) {
    store.offer(sample);
    if (sample.temperatureC === undefined) continue;
    sum += sample.temperatureC;
    warm += 1;
  }
  return { samples: store.samples(), temperatureC: warm > 0 ? sum / warm : undefined };
}
