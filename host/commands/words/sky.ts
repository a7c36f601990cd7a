/** What `sky` says. */
export const texts = {
  belowHorizon: (name: string): string => `${name} is below the horizon.`,
  eastRising: 'east of the meridian, rising',
  westSinking: 'west of the meridian, sinking',
  star: (name: string, bayer: string, hip: number): string => `${name} (${bayer}, HIP ${hip})`,
  at: (name: string, utc: string): string => `${name} at ${utc} UTC`,
  altitude: (angle: string, seenAt: string): string => `Altitude     ${angle}; seen through the air at ${seenAt}`,
  azimuth: (angle: string): string => `Azimuth      ${angle}`,
  hourAngle: (angle: string, side: string): string => `Hour angle   ${angle} (${side})`,
  declination: (angle: string): string => `Declination  ${angle} of date`,
};
