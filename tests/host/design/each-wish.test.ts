/** By what share figures fall short of each wish, and what counts as a fault, by hand. */
import { describe, expect, it } from 'vitest';
import { askOf } from '../../../host/design/ask-of.ts';
import { designOf } from '../../../host/design/design.ts';
import { AT, FIGURES } from '../../../host/design/figures.ts';
import { subjectOf } from '../../../host/design/problem-of.ts';
import { FAULT_WORDS, faultsOf, shortOf } from '../../../host/design/wishes.ts';
import { toRad } from '../../../host/rig/rig.ts';
import { NECK, wantOf } from './want/wants.ts';

/** Figures of nothing wrong but what is said. */
function figuresWith(changes: readonly (readonly [at: number, value: number])[]): Float64Array {
  const out = new Float64Array(FIGURES);
  for (const [at, value] of [[AT.stands, 1] as const, [AT.clearance, 100] as const, ...changes]) out[at] = value;
  return out;
}

const text = NECK.replace('together: 0.5', 'together: 0.5\n  spare_travel_percent: 25').replace(
  'servo: [neck]',
  'servo: [neck], most_nm: 0.8',
);
const want = wantOf(text);
const ask = askOf(want);
const design = {
  ...designOf(want.base),
  home_z_mm: null,
  axes: [{ joint: 'nod', gear_ratio: 3, counterweight: { kg: 0.7, at_mm: 190 }, servo: 1 }],
};
const { wishes, prepared } = subjectOf({ want, ask });
const nod = prepared.axes.indexOf('nod');
const wish = (path: string) => wishes.find((one) => one.path === path)!;
const short = (path: string, ...changes: readonly (readonly [number, number])[]): number =>
  shortOf(wish(path), figuresWith(changes), design);

describe('a wish', () => {
  it('travel: with its spare, the lesser way', () => {
    const roll = (minus: number, plus: number): number =>
      short('must.roll_deg', [AT.travel + 6, toRad(minus)], [AT.travel + 7, toRad(plus)]);
    expect(roll(18.75, 18.75)).toBe(0);
    expect(roll(15, 18.75)).toBeCloseTo(1 - 15 / 18.75, 8);
    expect(roll(20, 15)).toBeCloseTo(1 - 15 / 18.75, 8);
  });

  it('height: no more than the room', () => {
    expect(short('room.height_mm', [AT.height, 130])).toBe(0);
    expect(short('room.height_mm', [AT.height, 100])).toBe(0);
    expect(short('room.height_mm', [AT.height, 143])).toBeCloseTo(0.1, 8);
  });

  it('room between bodies: no less than the gap, of which ten are a lot', () => {
    expect(ask.clearance.gap_mm).toBe(2);
    expect(short('clearance.gap_mm', [AT.clearance, 2])).toBe(0);
    expect(short('clearance.gap_mm', [AT.clearance, 30])).toBe(0);
    expect(short('clearance.gap_mm', [AT.clearance, -3])).toBeCloseTo(0.25, 8);
    expect(wish('clearance.gap_mm').given(figuresWith([[AT.clearance, 1.4]]), design)).toBe(1.4);
    expect(wish('clearance.gap_mm').given(figuresWith([[AT.clearance, -3]]), design)).toBe(0);
  });

  it('holding: no more than half of the stall torque, of legs and of axes that are designed', () => {
    expect(short('firm.hold_use', [AT.hold_use, 0.5], [AT.axis_hold_use + nod, 0.5])).toBe(0);
    expect(short('firm.hold_use', [AT.hold_use, 0.6])).toBeCloseTo(0.2, 8);
    expect(short('firm.hold_use', [AT.axis_hold_use + nod, 0.6])).toBeCloseTo(0.2, 8);
  });

  it('frequency: no less', () => {
    expect(short('firm.lowest_hz', [AT.lowest_hz, 5])).toBe(0);
    expect(short('firm.lowest_hz', [AT.lowest_hz, 4])).toBeCloseTo(0.2, 8);
  });

  it('torque of an axis: the most that its servo holds, without margins', () => {
    const told = figuresWith([[AT.axis_most + nod, 0.9]]);
    expect(wish('axes.nod.most_nm').given(told, design)).toBeCloseTo(0.9, 6);
    expect(short('axes.nod.most_nm', [AT.axis_most + nod, 0.8])).toBe(0);
    expect(short('axes.nod.most_nm', [AT.axis_most + nod, 0.9])).toBeCloseTo(0.125, 8);
  });
});

describe('a fault', () => {
  const fault = (words: string, ...changes: readonly (readonly [number, number])[]): number =>
    faultsOf(want, ask)(figuresWith(changes), design)[FAULT_WORDS.findIndex((one) => one.startsWith(words))]!;

  it('home and gravity: whether it stands there, whether it stays', () => {
    expect([fault('its legs', [AT.stands, 1]), fault('gravity', [AT.unstable, 0])]).toEqual([0, 0]);
    expect(fault('its legs', [AT.stands, 0], [AT.home_short, 0.5])).toBe(1.5);
    expect(fault('gravity', [AT.unstable, 1])).toBe(1);
  });
});
