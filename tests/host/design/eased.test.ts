/** A want with one wish relaxed: the rest of it as it was. */
import { expect, it } from 'vitest';
import { eased } from '../../../host/design/eased.ts';
import { toRad } from '../../../host/rig/rig.ts';
import { NECK, wantOf } from './want/wants.ts';

const want = wantOf(NECK.replace('servo: [neck]', 'servo: [neck], most_nm: 0.5'));
const { must, room, firm, axes } = want;
const travel = (axis: number, minus: number, plus: number) =>
  must.travel.map((own, k) =>
    k === axis ? { minus: expect.closeTo(minus, 12), plus: expect.closeTo(plus, 12) } : own,
  );

it.each([
  ['must.roll_deg', 10, { must: { ...must, travel: travel(3, -toRad(10), toRad(10)) } }],
  ['must.pitch_deg', [-6, 3], { must: { ...must, travel: travel(4, -toRad(6), toRad(3)) } }],
  ['must.z_mm', [-5, 2], { must: { ...must, travel: travel(2, -5, 2) } }],
  ['must.together', 0.25, { must: { ...must, together: 0.25 } }],
  ['room.height_mm', 150, { room: { ...room, height_mm: 150 } }],
  ['firm.lowest_hz', 4, { firm: { ...firm, lowest_hz: 4 } }],
  ['firm.hold_use', 0.6, { firm: { ...firm, hold_use: 0.6 } }],
  ['axes.nod.most_nm', 0.7, { axes: [{ ...axes[0]!, most_nm: 0.7 }] }],
] as const)('%s: %j', (path, amount, changed) => {
  expect(eased(want, path, amount)).toEqual({ ...want, ...changed });
});
