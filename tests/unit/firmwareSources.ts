const builder = new URL('../../firmware-proto/build.mjs', import.meta.url);

interface BuiltImage {
  processor: string;
  flash: number;
  memory: number;
}

/** What the build of the images compiles, and all of it built: see there. */
export const { drivers, units, buildImages } = (await import(builder.href)) as {
  drivers: () => string;
  units: (folder: string) => string[];
  buildImages: () => Promise<BuiltImage[]>;
};
