import { degree } from '../../calibration/angle.ts';
import {
  axisWithErrors,
  fromNed,
  polarErrors,
  toNed,
  truePole,
  type PolarErrors,
} from '../../calibration/polarAxis.ts';
import {
  add,
  apply,
  multiply,
  rotationAbout,
  transpose,
  type Matrix3,
  type Vector3,
} from '../../calibration/vector.ts';
import type { RawCounts } from './rawCounts.ts';
import { Sensor, type Correction, type ChipMake, type ChipName } from './chip.ts';
import { chipMakes } from './chipMakes.ts';
import { drawField, fieldNed, modelledField, type EarthField } from './field.ts';
import { Hands } from './hands.ts';
import { rateBetween } from './handsPath.ts';
import { Pose, type BothWays } from './handsPose.ts';
import { IronAround } from './ironAround.ts';
import { baseTilt, Mount, type BoltName } from './mount.ts';
import { Random } from './random.ts';
import { scenes, type SceneName } from './scenes.ts';
import type { Scene } from './scene.ts';

/** The physical world around one virtual board. */
export interface World {
  /** Moves the world to `worldS` seconds after power-up and reads the chips there. */
  countsAt(worldS: number): RawCounts;
  /** Errors of the virtual polar axis at the last instant read; for displays and tests, never for the estimator. */
  truth(): PolarErrors;
  /** A bolt that is locked is loosened first. */
  turnBolt(bolt: BoltName, turns: number): void;
}

export interface WorldOptions {
  /** Everything that the scene leaves open is drawn from it; the same seed gives the same bytes. */
  seed?: number;
  /** By name, or any other make. */
  chip?: ChipName | ChipMake;
  /** Date of the magnetic field. */
  date?: Date;
  /** Field of the tripod's iron at the board without a spacer, nT. */
  tripodIronNt?: number;
  /** Largest field of the iron that turns along, nT, and the 1 sigma size of its soft part. */
  turningIronNt?: number;
  softIron?: number;
  clipAskewRad?: number;
  /**
   * In place of a clip askew: how far the seat of the clip lies off the polar axis, and the board askew in what it is clipped on
   * with, alike both ways round; 1 sigma in each direction across.
   */
  seatAskewRad?: number;
  /** How much the hands shake what they hold: 1 as people do, 0 not at all. */
  tremor?: number;
}

/** A longer stretch of time is gone through in steps, so that hands and bolts keep their order. */
const longestStepS = 0.05;
const largestClipAskewRad = 10 * degree;
/** As far as a seat along the polar axis may lie off it (assumed, as by `fitReversal`). */
const usualSeatAskewRad = 1 * degree;
const largestTurningIronNt = 30_000;

/** Mount, iron, Earth's field, hands and chips of one scene, as one seed draws them. */
export class VirtualWorld implements World {
  readonly scene: Scene;
  readonly seed: number;
  readonly make: ChipMake;
  readonly accelerometer: Sensor;
  readonly magnetometer: Sensor;
  readonly gyro: Sensor | undefined;
  readonly mount: Mount;
  readonly pose: Pose;
  readonly hands: Hands;
  /** What a magnetic model knows of the place, and what the field there really is. */
  readonly modelled: EarthField;
  readonly field: EarthField;
  private readonly fieldNed: Vector3;
  private readonly iron: IronAround;
  private readonly noise: Random;
  private readonly firstC: number;
  private readonly tremor: number;
  private nowS = 0;
  private lastRead: { worldS: number; attitude: Matrix3 } | undefined;

  constructor(scene: Scene, options: WorldOptions = {}) {
    const { seed = 1, chip = 'typical', date = new Date(), softIron = 0.002 } = options;
    const draw = new Random(seed);
    this.tremor = options.tremor ?? 1;
    this.scene = scene;
    this.seed = seed;
    this.make = typeof chip === 'string' ? chipMakes[chip] : chip;
    this.noise = new Random(seed ^ 0x6e6f6973);
    this.accelerometer = new Sensor(this.make.accelerometer, draw);
    this.magnetometer = new Sensor(this.make.magnetometer, draw);
    this.gyro = this.make.gyro && new Sensor(this.make.gyro, draw);
    this.firstC = scene.temperatureC + 3 * draw.normal();

    this.modelled = modelledField(scene.place, date);
    this.field = drawField(this.modelled, draw);
    this.fieldNed = fieldNed(this.field);
    this.iron = new IronAround(
      scene,
      {
        tripodNt: options.tripodIronNt ?? scene.tripodIron.fieldNt,
        turningNt: options.turningIronNt ?? largestTurningIronNt,
        soft: softIron,
      },
      draw,
    );

    this.mount = drawMount(scene, draw, new Random(seed ^ 0x6c6f636b));
    const askewRad = (options.clipAskewRad ?? largestClipAskewRad) * draw.uniform();
    const askew = rotationAbout(draw.direction(), askewRad);
    const reversedAskew = rotationAbout(draw.direction(), askewRad);
    const onBase = rotationAbout(draw.direction(), degree * draw.normal());
    const { seatAskewRad } = options;
    const clip: BothWays = seatAskewRad === undefined ? [askew, reversedAskew] : onSeat(seatAskewRad, draw);
    const seat = onSeat(usualSeatAskewRad, new Random(seed ^ 0x73656174));
    this.pose = new Pose(this.mount, clip, seat, onBase);
    this.hands = new Hands(this.pose, this.mount, new Random(seed ^ 0x68616e64));
  }

  /** Moves the world on to `worldS` seconds after power-up; time never runs back. */
  advanceTo(worldS: number): void {
    while (this.nowS < worldS) {
      const nextS = Math.min(worldS, this.nowS + longestStepS);
      this.hands.advanceTo(nextS);
      this.mount.advance(nextS - this.nowS);
      this.nowS = nextS;
    }
  }

  /** Seconds since power-up that the world has come to. */
  get timeS(): number {
    return this.nowS;
  }

  countsAt(worldS: number): RawCounts {
    this.advanceTo(worldS);
    const attitude = this.pose.attitude;
    const counts = this.countsIn(attitude);
    if (this.gyro) {
      counts.rate = this.gyro.countsOf(this.rate(attitude), this.nowS, this.temperatureC(), this.noise);
      this.lastRead = { worldS: this.nowS, attitude };
    }
    return counts;
  }

  /** Reads accelerometer and magnetometer as if the board had some other attitude now. */
  countsIn(attitude: Matrix3): RawCounts {
    const temperatureC = this.temperatureC();
    const { accelG, fieldNt } = this.sensed(attitude);
    const shakeG = this.pose.shakeG * this.tremor;
    const shaken = shakeG === 0 ? accelG : add(accelG, this.noise.normal3(shakeG));
    return {
      accel: this.accelerometer.countsOf(shaken, this.nowS, temperatureC, this.noise),
      field: this.magnetometer.countsOf(fieldNt, this.nowS, temperatureC, this.noise),
      temperature: Math.round((temperatureC - 25) * 256),
    };
  }

  truth(): PolarErrors {
    return polarErrors(this.mount.polarAxis, truePole(this.scene.place.latitudeRad));
  }

  /** Truth: the polar axis, toward the elevated pole, in the frame of the board as it sits now. */
  axisInBoard(): Vector3 {
    return apply(transpose(this.pose.attitude), toNed(this.mount.polarAxis));
  }

  /** Truth: the exact corrections of the chips at the temperature of now. */
  trueCorrection(): { accelerometer: Correction; magnetometer: Correction } {
    const temperatureC = this.temperatureC();
    return {
      accelerometer: this.accelerometer.correctionAt(temperatureC),
      magnetometer: this.magnetometer.correctionAt(temperatureC),
    };
  }

  turnBolt(bolt: BoltName, turns: number): void {
    this.mount.turnBolt(bolt, turns);
  }

  /** True acceleration (g) and field (nT) in the board's frame at an attitude, iron included, before the chips. */
  sensed(attitude: Matrix3): { accelG: Vector3; fieldNt: Vector3 } {
    const intoBoard = transpose(attitude);
    const field = this.iron.disturb(this.fieldNed, this.pose, this.mount);
    return { accelG: apply(intoBoard, [0, 0, -1]), fieldNt: apply(intoBoard, field) };
  }

  /** Falls slowly through the night, after the board has warmed itself by two degrees. */
  temperatureC(): number {
    return this.firstC + 2 * (1 - Math.exp(-this.nowS / 300)) - this.nowS / 3600;
  }

  private rate(attitude: Matrix3): Vector3 {
    const last = this.lastRead;
    return last && this.nowS > last.worldS ? rateBetween(last.attitude, attitude, this.nowS - last.worldS) : [0, 0, 0];
  }
}

export const createWorld = (scene: SceneName | Scene, options?: WorldOptions): VirtualWorld =>
  new VirtualWorld(typeof scene === 'string' ? scenes[scene] : scene, options);

/** The board on a seat that lies askew, and end for end on it. */
function onSeat(askewRad: number, draw: Random): BothWays {
  const across = (): Matrix3 =>
    multiply(rotationAbout([0, 0, 1], askewRad * draw.normal()), rotationAbout([0, 1, 0], askewRad * draw.normal()));
  const [seat, board] = [across(), across()];
  const halfTurn = rotationAbout([0, 0, 1], Math.PI);
  return [multiply(seat, board), multiply(multiply(transpose(halfTurn), multiply(seat, halfTurn)), board)];
}

/** @param later draws what happens while the mount is used, apart from how it is made */
function drawMount(scene: Scene, draw: Random, later: Random): Mount {
  const { bolts, lockingShiftRad, loadSagRad } = scene;
  const sagRad = { altitude: -loadSagRad * later.between(0.5, 1.5), azimuth: (loadSagRad / 3) * later.normal() };
  const tilt = baseTilt(scene.baseTiltRad * draw.uniform(), draw.between(0, 2 * Math.PI));
  const about = (value: number): number => value * draw.between(0.85, 1.15);
  const first = axisWithErrors(
    truePole(scene.place.latitudeRad),
    scene.firstAltitudeErrorRad * draw.between(-1, 1),
    scene.firstAzimuthErrorRad * draw.between(-1, 1),
  );
  return new Mount({
    tilt,
    southern: scene.place.latitudeRad < 0,
    bolts: {
      altitude: { radPerTurn: about(bolts.altitude.radPerTurn), backlashTurns: about(bolts.altitude.backlashTurns) },
      azimuth: { radPerTurn: about(bolts.azimuth.radPerTurn), backlashTurns: about(bolts.azimuth.backlashTurns) },
    },
    lockedShiftRad: {
      altitude: lockingShiftRad * draw.normal(),
      azimuth: lockingShiftRad * draw.normal(),
    },
    lockingScatterRad: () => (lockingShiftRad / 3) * later.normal(),
    loadShiftRad: () => ({
      altitude: sagRad.altitude * (1 + 0.1 * later.normal()),
      azimuth: sagRad.azimuth * (1 + 0.1 * later.normal()),
    }),
    first: fromNed(apply(transpose(tilt), toNed(first))),
  });
}
