/** What is said of locking the bolts and putting a load on. */
export const texts = {
  lockHabit: (shifts: string, times: string, band: string): string =>
    `Locking this mount moved the axis ${shifts} (measured ${times}). The shift varies by ${band}′ from one time to the next.`,
  beforeLock: (shifts: string): string =>
    `Before you lock, nudge to ${shifts}: locking then brings the axis to the pole.`,
  loadHabit: (load: string, shifts: string, times: string, band: string): string =>
    `Putting ${load} on this mount moved the axis ${shifts} (measured ${times}). The shift varies by ${band}′ from one time to the next.`,
  beforeLoad: (load: string, shifts: string): string =>
    `Before you put ${load} on, nudge to ${shifts}: the load then brings the axis to the pole.`,
  expected: (now: string, after: string): string =>
    `Expected distance from the pole: ${now}′ now, ${after}′ after a correction.`,
  lockAgain: (expected: string): string =>
    `${expected} Loosen the bolts, offset the axis by the opposite of what locking does, and lock again.`,
  leaveBolts: (expected: string): string => `${expected} Leave the bolts as they are.`,
  lockNow: 'Now lock the bolts.',
  tighten: (caution: string): string => `${caution} Tighten the bolts evenly, then take the hands off.`,
  loadNow: 'Now put everything on.',
  putOn: 'Hold the tube. Put the counterweights on first, then the tube and the rest; then take the hands off.',
  finish: 'Enough. Finish here.',
  handsOff: (rest: string, before: string): string => `Hands off the mount for ${rest} ${before}.`,
  locking: 'Locking',
  theLoad: 'The load',
  noShift: (what: string, unseen: string): string => `${what}: no measurable shift (${unseen}).`,
  moved: (what: string, seen: string): string => `${what} moved the axis ${seen}.`,
  noShiftIn: (axis: string, within: string): string => `No measurable shift in ${axis} (${within}).`,
  ifTooFar: (set: string): string => `If that is too far: loosen the bolts, nudge to ${set}, lock again.`,
  answerIncludesIt: 'Your earlier measurements now include this shift.',
};
