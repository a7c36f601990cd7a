import { join } from 'node:path';
import envPaths from 'env-paths';

/** Where sites, calibrations and nights are kept; LODEPOLE_HOME overrides the platform's usual place. */
const storeFolder = (): string => process.env.LODEPOLE_HOME ?? envPaths('lodepole', { suffix: '' }).data;
export const storePath = (...parts: string[]): string => join(storeFolder(), ...parts);
