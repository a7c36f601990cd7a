const builder = new URL('../../firmware-proto/build.mjs', import.meta.url);

/** What the build of the images compiles: see there. */
export const { drivers, units } = (await import(builder.href)) as {
  drivers: () => string;
  units: (folder: string) => string[];
};
