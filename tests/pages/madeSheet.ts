import type { Drawing, SheetMessage } from '../../host/web/messages.ts';

/** A sheet of one long step with this drawing, for what no scripted session comes to. */
export const sheetOf = (drawing: Drawing): SheetMessage => ({
  kind: 'sheet',
  steps: [
    {
      name: 'tumble',
      title: 'Tumble',
      status: 'under way',
      figure: '40 percent',
      toDo: ['Turn the board slowly.'],
      measured: [{ label: 'Readings', value: '41 in 12 s' }],
      howSure: 'Full tiles are covered.',
      next: '',
      cautions: ['Mind your fingers.'],
      fields: [],
      actions: [
        { name: 'finish', label: 'Finish' },
        { name: 'cancel', label: 'Give up' },
      ],
      drawing,
    },
  ],
});
