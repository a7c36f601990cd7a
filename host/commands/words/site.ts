/** What `site` says. */
export const texts = {
  fieldTooWeak: 'horizontal field too weak for a compass',
  useSights: "Use sights, drift or the Sun's shadow; the compass does not work here.",
  clockOff: (seconds: string): string =>
    `Caution: this computer's clock is ${seconds} s off the receiver's time. Set it before any sight.`,
  saved: 'Saved: other commands take this site from now on.',
  placeFrom: (source: string): string => `Place from ${source}`,
  variation: (angle: string, isWest: boolean): string => `${angle} ${isWest ? 'west' : 'east'}`,
  site: (name: string | undefined, position: string, elevation: string): string =>
    `Site        ${name ? `${name}, ` : ''}${position}, ${elevation} m`,
  date: (utc: string): string => `Date        ${utc} UTC`,
  pole: (altitude: string, azimuth: string, isSouth: boolean, refracted: string): string =>
    `True pole   altitude ${altitude}, azimuth ${azimuth} (${isSouth ? 'south' : 'north'}); refracted ${refracted}`,
  variationRow: (variation: string, giveOrTake: string): string =>
    `Variation   ${variation}, give or take ${giveOrTake}`,
  dip: (angle: string, giveOrTake: string): string => `Dip         ${angle}, give or take ${giveOrTake}`,
  field: (nanotesla: string, giveOrTake: string, horizontal: string): string =>
    `Field       ${nanotesla} nT, give or take ${giveOrTake}; horizontal ${horizontal} nT`,
  model: (until: string): string => `Model       World Magnetic Model 2025, valid until ${until}`,
  horizon: (isMarked: boolean, sectors: string): string =>
    `Horizon     ${isMarked ? `hidden ${sectors}` : 'nothing marked as hidden'}`,
};
