/** The cautions, word for word the same in the terminal and on the page; each is shown where the work that it is about begins. */
export const cautions = {
  sun: 'Never look at or near the Sun through any instrument, finder included: it blinds at once. Cap both.',
  shadow: 'Work by the shadow alone, with the Sun behind you.',
  clutch: 'Hold the tube before you release a clutch. Put the weights on first and take them off last.',
  counterweight: 'Keep the tube and the counterweight clear of the tripod while the axis turns.',
  fingers: 'Mind your fingers at the latitude bolt: the weight of the instrument rests on it.',
  spacer: 'Hold the axis while you change the spacer: a counterweight that swings can hurt. Mind your fingers.',
  rules:
    'Observe local rules on lasers, sites and mains power. Never point a laser near an aircraft. Leave mains wiring to a licensed electrician.',
  magnetic: 'The magnetic azimuth is not for navigation.',
} as const;
