import { loadChoices, showLook } from './look.ts';

/** Runs before anything is drawn, on every page: nothing is brighter than the person chose, not even while loading. */
showLook(loadChoices());
