/** What the step "Good enough?" of the page says. */
export const texts = {
  title: 'Good enough?',
  typePlan: "Type tonight's plan: exposure, focal length and pixel for photographs, or field and minutes for the eye.",
  includesUncertainty: 'The verdict includes the uncertainty of both errors.',
  exposureLabel: 'Exposure, seconds',
  focalLabel: 'Focal length, mm',
  pixelLabel: 'Pixel, micrometres',
  declinationLabel: 'Declination of the target',
  declinationHint: "0, or -33d30'",
  fieldLabel: 'Field of the eyepiece, arcminutes',
  minutesLabel: 'Minutes the star should stay',
  judgeButton: 'Is it good enough?',
  verdict: (verdict: string, plan: string): string => `${verdict} for ${plan}.`,
  allowed: (most: string, distance: string): string =>
    `Up to ${most} from the pole is allowed; the axis is at ${distance}.`,
  chance: (chances: string): string => `${chances} that the axis is within it.`,
  observe: 'Observe.',
  improve: 'Take sights or drift, nudge, and ask again.',
  thePlan: (plan: string): string => `The plan: ${plan}.`,
  photographPlan: (seconds: number, millimetres: number): string =>
    `exposures of ${seconds} s at ${millimetres} mm, not guided`,
  eyePlan: (minutes: number, fieldArcmin: number): string => `${minutes} minutes in a field of ${fieldArcmin}′, driven`,
};
