import type { LiveSession } from '../../live/session.ts';
import type { StepName, StepView } from '../messages.ts';
import { texts } from './words/shared.ts';

/** A step about which nothing is known yet. */
export const blankView = <N extends StepName>(name: N, title: string): StepView => ({
  name,
  title,
  status: 'to do',
  figure: '',
  toDo: [],
  measured: [],
  howSure: '',
  next: '',
  cautions: [],
  fields: [],
  actions: [],
});

/** The needles of a virtual board rest on a rehearsal: nothing is missing when the step is skipped. */
export const rehearsedWords = ({ virtual }: Pick<LiveSession, 'virtual'>): string[] =>
  virtual ? [texts.rehearsed] : [];
