import type { StepName, StepView } from '../messages.ts';

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
