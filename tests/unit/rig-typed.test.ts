import { describe, expect, it } from 'vitest';
import { fieldsOf, rigTyped } from '../../host/web/sheet/rigTyped.ts';

const rest = { weights: '5 90-340', shaft: '1.1 170', travel: '-60 90' };

describe('a rig typed on the page', () => {
  it.each([';', ',', '\n'])('has its parts parted by %j, and reads back the same', (between) => {
    const rig = rigTyped({ rig: 'Two', parts: ['tube 4.2 40 120', 'camera 0.9 -90 130'].join(between), ...rest });
    expect(rig.parts).toEqual([
      { name: 'tube', massKg: 4.2, alongMm: 40, outMm: 120 },
      { name: 'camera', massKg: 0.9, alongMm: -90, outMm: 130 },
    ]);
    expect(rigTyped(fieldsOf(rig))).toEqual(rig);
  });

  it('is refused where a comma stands for the decimal point', () => {
    expect(() => rigTyped({ parts: 'tube 4,2 40 120', ...rest })).toThrow('is not understood');
  });
});
