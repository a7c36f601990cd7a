import { z } from 'zod';
import { degree } from '../../calibration/angle.ts';
import type { Knob } from '../../calibration/knob.ts';
import { Failure } from '../failure.ts';
import type { Site } from '../site/site.ts';
import type { Axis } from '../words/reading.ts';
import { clippingOf, fileNameOf, type ClippingOptions } from './clipping.ts';
import { storePath } from './folder.ts';
import { changeJsonFile, readJsonFile } from './jsonFile.ts';

const boltSchema = z.strictObject({
  degPerTurn: z
    .number()
    .refine((size) => size !== 0 && Math.abs(size) < 90, 'one turn of a bolt cannot move the axis by such an angle'),
  sigmaDegPerTurn: z.number().positive(),
  backlashTurns: z.number().min(0).max(20),
  sigmaBacklashTurns: z.number().positive(),
  lastWay: z.union([z.literal(1), z.literal(-1)]),
  keptUtc: z.iso.datetime(),
});

const knobsFileSchema = z.strictObject({
  schema: z.literal(1),
  kind: z.literal('knobs'),
  mount: z.string().max(30),
  /** A bolt that turns the mount toward east moves the axis the other way under the other pole. */
  pole: z.enum(['north', 'south']),
  altitude: boltSchema.optional(),
  azimuth: boltSchema.optional(),
});
type KnobsFile = z.infer<typeof knobsFileSchema>;

const knobsPath = (mount: string): string => storePath('knobs', `${fileNameOf(mount)}.json`);
const poleOf = ({ latitudeRad }: Pick<Site, 'latitudeRad'>): 'north' | 'south' =>
  latitudeRad >= 0 ? 'north' : 'south';

/** What is kept, where it is of the same pole as `blank`. */
const ofPole = (kept: KnobsFile | undefined, blank: KnobsFile): KnobsFile => (kept?.pole === blank.pole ? kept : blank);

/** What a turn of each bolt does, as kept for a mount. Each axis that is assigned to is saved at once. */
export class KeptKnobs {
  private readonly file: KnobsFile;
  private failure = '';
  /** Ends when the last assignment is on disk, or has failed. */
  saved: Promise<void> = Promise.resolve();

  private constructor(file: KnobsFile) {
    this.file = file;
  }

  /** Throws Failure where the file is broken or the name of the mount cannot be one. */
  static async of(options: ClippingOptions, site: Pick<Site, 'latitudeRad'>): Promise<KeptKnobs> {
    const { mount } = clippingOf(options);
    const pole = poleOf(site);
    const kept = await readJsonFile(knobsPath(mount), knobsFileSchema);
    return new KeptKnobs(ofPole(kept, { schema: 1, kind: 'knobs', mount, pole }));
  }

  get altitude(): Knob | undefined {
    return this.read('altitude');
  }
  set altitude(knob: Knob | undefined) {
    this.keep('altitude', knob);
  }
  get azimuth(): Knob | undefined {
    return this.read('azimuth');
  }
  set azimuth(knob: Knob | undefined) {
    this.keep('azimuth', knob);
  }

  /** What is known, as sentences. */
  words(): string[] {
    const { mount } = this.file;
    const sizes = (['altitude', 'azimuth'] as const).flatMap((axis) => {
      const bolt = this.file[axis];
      if (!bolt) return [];
      const band = (2 * bolt.sigmaDegPerTurn).toFixed(2);
      return [`${axis} ${Math.abs(bolt.degPerTurn).toFixed(2)}°, give or take ${band}°`];
    });
    const known = sizes.length === 0 ? [] : [`One turn of a bolt of "${mount}" moves the axis: ${sizes.join('; ')}.`];
    return this.failure === '' ? known : [...known, this.failure];
  }

  private read(axis: Axis): Knob | undefined {
    const bolt = this.file[axis];
    return (
      bolt && {
        radPerTurn: bolt.degPerTurn * degree,
        sigmaRadPerTurn: bolt.sigmaDegPerTurn * degree,
        backlashTurns: bolt.backlashTurns,
        sigmaBacklashTurns: bolt.sigmaBacklashTurns,
        lastWay: bolt.lastWay,
      }
    );
  }

  private keep(axis: Axis, knob: Knob | undefined): void {
    const bolt = knob && {
      degPerTurn: knob.radPerTurn / degree,
      sigmaDegPerTurn: knob.sigmaRadPerTurn / degree,
      backlashTurns: knob.backlashTurns,
      sigmaBacklashTurns: knob.sigmaBacklashTurns,
      lastWay: knob.lastWay,
      keptUtc: new Date().toISOString(),
    };
    this.file[axis] = bolt;
    const { schema, kind, mount, pole } = this.file;
    this.saved = changeJsonFile(knobsPath(mount), knobsFileSchema, (kept) => ({
      ...ofPole(kept, { schema, kind, mount, pole }),
      [axis]: bolt,
    })).then(
      () => {
        this.failure = '';
      },
      (error: unknown) => {
        if (!(error instanceof Failure)) throw error;
        this.failure = `The turns of the bolts are not saved. ${error.message} ${error.whatToDo}`;
      },
    );
  }
}
