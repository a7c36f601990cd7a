import { it } from 'vitest';

/** The file that brings the worker to life; what the worker does then stands in `warmWorker.mjs`. */
it('holds a worker', () => {});
