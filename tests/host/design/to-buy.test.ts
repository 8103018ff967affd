/** What to buy for a design, and what an axis held before and holds now. */
import { describe, expect, it } from 'vitest';
import { designOf } from '../../../host/design/design.ts';
import type { Judged } from '../../../host/design/judge.ts';
import { toBuy } from '../../../host/design/to-buy.ts';
import { readRig } from '../../../host/rig/read.ts';
import { LIFT } from '../load/rigs.ts';
import { NECK, wantOf } from './want/wants.ts';

const want = wantOf(NECK);
const design = {
  ...designOf(want.base),
  axes: [{ joint: 'nod', gear_ratio: 3, counterweight: { kg: 0.7, at_mm: 190 }, servo: 1 }],
};
const judged = { rig: want.base, axis_hold_nm: { nod: 0.251 } } as unknown as Judged;

describe('what to buy', () => {
  it('cranks, rods, servos; of an axis its weight, gear and servo, and what it held and holds', () => {
    expect(toBuy(want, { design, judged }, { nod: 0.66 })).toEqual({
      crank: '22 mm',
      rod: '120 mm',
      servo: '6 × neck',
      axes: [
        { joint: 'nod', counterweight: '0.7 kg at 190 mm', gear: '3', servo: 'neck', holds: '0.66 N·m → 0.25 N·m' },
      ],
    });
  });

  it('no weight where it is nothing; what is not known is open', () => {
    const light = { ...design, axes: [{ ...design.axes[0]!, counterweight: { kg: 0, at_mm: 190 } }] };
    const [nod] = toBuy(want, { design: light, judged }, { nod: Infinity }).axes;
    expect(nod).toMatchObject({ counterweight: '', holds: '? → 0.25 N·m' });
  });

  it('actuators from pin to pin', () => {
    const rig = readRig(LIFT).rig!;
    const linear = { ...design, stroke_mm: [130, 200] as const, axes: [] };
    expect(toBuy(want, { design: linear, judged: { ...judged, rig } }, {})).toMatchObject({
      crank: '',
      rod: '130 … 200 mm',
      servo: '6 × ram',
    });
  });
});
