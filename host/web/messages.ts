import { z } from 'zod';

/**
 * Every message between the host and the page, both ways. The page imports these as types only.
 * Signs are those of the whole project: altitude error > 0 is too high, azimuth error > 0 is too far east.
 */
const errorsDeg = {
  altitudeErrorDeg: z.number(),
  azimuthErrorDeg: z.number(),
  distanceDeg: z.number().nonnegative(),
};
const sigmasDeg = {
  sigmaAltitudeErrorDeg: z.number().nonnegative(),
  sigmaAzimuthErrorDeg: z.number().nonnegative(),
  sigmaDistanceDeg: z.number().nonnegative(),
};
const needleStates = ['moving', 'still', 'disturbed', 'stale'] as const;

const needlesMessage = z.strictObject({
  kind: z.literal('needles'),
  timeUtc: z.iso.datetime(),
  /** The host's monotonic clock at sending: lets the page see how long messages were on the way. */
  sentS: z.number(),
  /** Age of the sample behind it when the host sent it. */
  ageS: z.number().nonnegative(),
  ...errorsDeg,
  ...sigmasDeg,
  /** The same as people read it: held at rest, so that no figure, sentence, scale or band twitches. */
  shown: z.strictObject({ ...errorsDeg, ...sigmasDeg }),
  state: z.enum(needleStates),
  /** The board is off its clip: none of this tells where the axis points. */
  isOffClip: z.boolean(),
  /** Carried on from what was measured on the sky. */
  isAnchored: z.boolean(),
  /** Null where the board has no thermometer. */
  temperatureC: z.number().nullable(),
  /** Virtual board only: what the simulator knows, for practice; never used by any estimate. */
  truth: z.strictObject(errorsDeg).optional(),
});
export type NeedlesMessage = z.infer<typeof needlesMessage>;

const linkMessage = z.strictObject({
  kind: z.literal('link'),
  state: z.enum(['searching', 'opening', 'waiting', 'streaming', 'silent', 'lost', 'refused']),
  words: z.string(),
});
export type LinkMessage = z.infer<typeof linkMessage>;

export const stepNames = [
  'site',
  'tumble',
  'horizon',
  'level',
  'swing',
  'standoff',
  'nudge',
  'starNudge',
  'lock',
  'load',
  'balance',
  'sights',
  'sun',
  'drift',
  'answer',
  'enough',
  'side',
] as const;
export type StepName = (typeof stepNames)[number];

/** First on every stream. */
const helloMessage = z.strictObject({
  kind: z.literal('hello'),
  schema: z.literal(1),
  source: z.string(),
  isVirtual: z.boolean(),
  /** Which celestial pole is up: facing the south one, east is at the left. */
  pole: z.enum(['north', 'south']),
  /** A reading older than this is none any more, seconds: longer for a slow board. */
  staleAfterS: z.number().positive(),
  /** False while nobody has told where the mount stands: there are no needles then. */
  hasSite: z.boolean(),
  /** The virtual hands can turn the bolts. */
  hasHands: z.boolean(),
  /** What tonight's plan allows in each error by itself, either way; missing until somebody asks whether it is good enough. */
  allowed: z
    .strictObject({ altitudeErrorDeg: z.number().positive(), azimuthErrorDeg: z.number().positive() })
    .optional(),
  /** What comes next this evening: `Next: swing.`, and why, and the step of the sheet that does it; missing in a replay. */
  next: z.strictObject({ title: z.string(), reason: z.string(), sheet: z.enum(stepNames).optional() }).optional(),
  /** What the person should know about this session, such as where its calibration came from. */
  notes: z.array(z.string()),
});
export type HelloMessage = z.infer<typeof helloMessage>;

const bolt = z
  .strictObject({
    degPerTurn: z.number().positive(),
    playTurns: z.number().nonnegative(),
    lastWay: z.union([z.literal(1), z.literal(-1)]),
  })
  .optional();

/** What turning each bolt does; missing until it was learnt. */
const knobsMessage = z.strictObject({ kind: z.literal('knobs'), altitude: bolt, azimuth: bolt });
export type KnobsMessage = z.infer<typeof knobsMessage>;

const point = z.tuple([z.number(), z.number()]);
const vector = z.tuple([z.number(), z.number(), z.number()]);
export const drawing = z.discriminatedUnion('kind', [
  /** Sides of the board that were up, and what points up on it now and is to point up next; unit vectors of the board's frame. */
  z.strictObject({
    kind: z.literal('sphere'),
    cells: z.array(z.strictObject({ direction: vector, isCovered: z.boolean() })),
    upNow: vector.optional(),
    upNext: vector.optional(),
  }),
  /** Gravity and field in the plane square to the axis, each in units of its circle's radius. */
  z.strictObject({
    kind: z.literal('circles'),
    circles: z.array(
      z.strictObject({
        label: z.string(),
        points: z.array(point),
        fit: z.strictObject({ centre: point, radius: z.number().positive() }).optional(),
      }),
    ),
  }),
  /** Before and after, each with its band, in arcminutes. */
  z.strictObject({
    kind: z.literal('shift'),
    unit: z.string(),
    rows: z.array(
      z.strictObject({
        label: z.string(),
        /** Names of the two ends as they are drawn, and whether values above zero are at the left one. */
        ends: z.tuple([z.string(), z.string()]),
        isReversed: z.boolean(),
        before: z.number(),
        after: z.number(),
        sigma: z.number().nonnegative(),
      }),
    ),
  }),
  /** Readings against time, with the line fitted to each series and the error of its slope, 1 sigma. */
  z.strictObject({
    kind: z.literal('lines'),
    across: z.string(),
    /** Unit and side of values above zero, and of those below. */
    up: z.string(),
    down: z.string(),
    lines: z.array(
      z.strictObject({
        label: z.string(),
        points: z.array(point),
        fit: z.strictObject({ through: point, slope: z.number(), sigmaSlope: z.number().nonnegative() }).optional(),
      }),
    ),
  }),
  /** The horizon once round, unrolled, degrees: what hides the sky, stars that were taken and the one to take. */
  z.strictObject({
    kind: z.literal('skyline'),
    hidden: z.array(z.strictObject({ fromAzimuthDeg: z.number(), toAzimuthDeg: z.number(), altitudeDeg: z.number() })),
    stars: z.array(
      z.strictObject({
        label: z.string(),
        azimuthDeg: z.number(),
        altitudeDeg: z.number(),
        mark: z.enum(['taken', 'next']),
      }),
    ),
  }),
  /** The field of an eyepiece, west at the right: where a star must come to stand, and where it stands; arcminutes from the centre. */
  z.strictObject({
    kind: z.literal('field'),
    radius: z.number().positive(),
    /** As by a diagonal: north is then below. */
    mirrored: z.boolean(),
    places: z.array(z.strictObject({ label: z.string(), north: z.number(), east: z.number(), sigma: z.number() })),
    /** Virtual eyepiece only. */
    star: z.strictObject({ north: z.number(), east: z.number() }).optional(),
  }),
  /** The face of a virtual board and the shadow of the pin on it, degrees from the x arrow toward the y arrow. */
  z.strictObject({ kind: z.literal('shadow'), shadowDeg: z.number() }),
  /** A rig seen along the right-ascension axis, balanced: where the parts are now, by how much they slide, where the weights go. */
  z.strictObject({
    kind: z.literal('rig'),
    shiftMm: z.number(),
    travelMm: point,
    shaftEndMm: z.number().positive(),
    parts: z.array(
      z.strictObject({ label: z.string(), massKg: z.number().positive(), alongMm: z.number(), outMm: z.number() }),
    ),
    weights: z.array(z.strictObject({ massKg: z.number().positive(), atMm: z.number() })),
  }),
]);
export type Drawing = z.infer<typeof drawing>;

const action = z.strictObject({
  name: z.string(),
  label: z.string(),
  /** The virtual hands do it; shown apart. */
  byHands: z.boolean().optional(),
  /** The button of the moment, the largest one; without any it is the first, and never one of which this is false. */
  isMain: z.boolean().optional(),
});
export type Action = z.infer<typeof action>;

const field = z.strictObject({
  name: z.string(),
  label: z.string(),
  value: z.string(),
  hint: z.string(),
  /** A number, for which a telephone shows another keyboard; `signed` where it may be below zero. */
  number: z.enum(['plain', 'signed']).optional(),
});
export type Field = z.infer<typeof field>;

export const stepView = z.strictObject({
  name: z.enum(stepNames),
  title: z.string(),
  status: z.enum(['to do', 'under way', 'done', 'refused']),
  /** One line beside the title: the figure that matters. */
  figure: z.string(),
  /** What to do now; the first sentence is the instruction of the moment. */
  toDo: z.array(z.string()),
  measured: z.array(z.strictObject({ label: z.string(), value: z.string() })),
  howSure: z.string(),
  next: z.string(),
  cautions: z.array(z.string()),
  /** Typed entries; sent along with every action of the step. */
  fields: z.array(field),
  actions: z.array(action),
  drawing: drawing.optional(),
});
export type StepView = z.infer<typeof stepView>;

const sheetMessage = z.strictObject({ kind: z.literal('sheet'), steps: z.array(stepView) });
export type SheetMessage = z.infer<typeof sheetMessage>;

/** Keeps the stream alive and shows that the host is there when the board is silent. */
const beatMessage = z.strictObject({ kind: z.literal('beat') });

export const pushMessage = z.discriminatedUnion('kind', [
  helloMessage,
  needlesMessage,
  linkMessage,
  knobsMessage,
  sheetMessage,
  beatMessage,
]);
export type PushMessage = z.infer<typeof pushMessage>;

const tracePoint = z.strictObject({
  timeUtc: z.iso.datetime(),
  altitudeErrorDeg: z.number(),
  azimuthErrorDeg: z.number(),
  sigmaAltitudeErrorDeg: z.number(),
  sigmaAzimuthErrorDeg: z.number(),
  state: z.enum(needleStates),
});
export type TracePoint = z.infer<typeof tracePoint>;
export const traceAnswer = z.strictObject({ schema: z.literal(1), points: z.array(tracePoint) });
export type TraceAnswer = z.infer<typeof traceAnswer>;

/** Requests. */
export const boltRequest = z.strictObject({
  bolt: z.enum(['altitude', 'azimuth']),
  /** Positive raises the axis, or moves its front toward east. */
  turns: z.number().min(-2).max(2),
});

export const stepRequest = z.strictObject({
  action: z.string().max(40),
  /** The longest is a horizon traced in steps of five degrees. */
  fields: z.record(z.string().max(40), z.string().max(1200)).default({}),
});
export type StepRequest = z.infer<typeof stepRequest>;

export const pairRequest = z.strictObject({ code: z.string().max(40) });

/** Every refusal: what was wrong and what to do. */
export const refusal = z.strictObject({ schema: z.literal(1), error: z.string(), whatToDo: z.string() });
export type Refusal = z.infer<typeof refusal>;
