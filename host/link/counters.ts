/** Everything that a link counts; names are shown to people and in JSON. */
export const noCounts = () => ({
  /** Samples believed. */
  samples: 0,
  /** First line of a port, when it is not sound: it is often partial. */
  beforeFirst: 0,
  /** Samples that came before the hello that gives their scale. */
  beforeHello: 0,
  noise: 0,
  foreign: 0,
  torn: 0,
  badCrc: 0,
  malformed: 0,
  overLong: 0,
  /** Sound lines of a kind from a newer board. */
  unknown: 0,
  /** Hellos of another protocol version. */
  otherProtocol: 0,
  /** Gaps in the sequence, in samples. */
  lost: 0,
  repeated: 0,
  reordered: 0,
  /** Sound samples whose sequence number and clock contradict what came before. */
  implausible: 0,
  /** Restarts of the board in mid-stream. */
  reboots: 0,
  /** Times that the port was lost. */
  portsLost: 0,
  /** Problems that the board itself reported. */
  boardEvents: 0,
});
export type LinkCounters = ReturnType<typeof noCounts>;
