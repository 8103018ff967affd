import { describe, expect, it } from 'vitest';
import { askOf } from '../../../host/design/ask-of.ts';
import { designOf } from '../../../host/design/design.ts';
import { AT } from '../../../host/design/figures.ts';
import { describeProblem, subjectOf } from '../../../host/design/problem-of.ts';
import { spaceOf } from '../../../host/design/space.ts';
import { shortOf, shortfall } from '../../../host/design/wishes.ts';
import { toDeg } from '../../../host/rig/rig.ts';
import { NECK, wantOf } from './want/wants.ts';

const want = wantOf(NECK);
const space = spaceOf(want);

describe('the space that is searched', () => {
  it('has a number for each free figure, and none for what has one size', () => {
    expect(space.genes.map(({ path }) => path)).toEqual([
      'stock.base_radius_mm',
      'stock.base_half_angle_deg',
      'stock.plate_radius_mm',
      'stock.plate_half_angle_deg',
      'stock.crank_mm',
      'stock.rod_mm',
      'stock.crank_azimuth',
      'servos',
      'axes.nod.gear_ratio',
      'axes.nod.counterweight_kg',
    ]);
  });

  it.each([0, 0.37, 1])('decodes %d of all to sizes that are in stock, or that a workshop makes', (share) => {
    const design = space.decode(space.genes.map(() => share));
    expect([16, 20, 24, 28]).toContain(design.crank_mm);
    expect(design.rod_mm % 5).toBe(0);
    expect(design.base_radius_mm).toBeLessThanOrEqual(75);
    expect(toDeg(design.base_half_rad) * 10).toBeCloseTo(Math.round(toDeg(design.base_half_rad) * 10), 9);
    expect(design.axes[0]).toMatchObject({ joint: 'nod', servo: 1, counterweight: { at_mm: 190 } });
  });

  it('asks the evaluator for the same travels, in mm and rad', () => {
    const { must, margins } = askOf(want);
    expect(must.travels[4]).toBe(8);
    expect(must.travels[5]).toBe(4);
    expect(margins.weight).toBeCloseTo(1.1, 12);
    expect(margins.voltage).toBeCloseTo(0.9, 12);
  });
});

describe('wishes', () => {
  it('fall short by their share; NaN as badly as can be', () => {
    expect(shortfall(-1)).toBe(0);
    expect(shortfall(0.25)).toBe(0.25);
    expect(shortfall(NaN)).toBe(shortfall(Infinity));
    expect(shortfall(1000)).toBeLessThan(shortfall(Infinity));
  });

  it('are read off the figures of a design: half the yaw is short by a half, and given as such', () => {
    const subject = subjectOf(describeProblem(wantOf(NECK.replace('roll_deg: 15', 'yaw_deg: 22.74'))));
    const design = {
      ...designOf(want.base),
      home_z_mm: null,
      axes: [{ joint: 'nod', gear_ratio: 3, counterweight: { kg: 0.7, at_mm: 190 }, servo: -1 }],
    };
    const { figures } = subject.look(space.genes.map(() => 0.5));
    figures[AT.travel + 10] = figures[AT.travel + 11] = (11.37 * Math.PI) / 180;
    const yaw = subject.wishes.find(({ path }) => path === 'must.yaw_deg')!;
    expect(shortOf(yaw, figures, design)).toBeCloseTo(0.5, 6);
    expect(yaw.given(figures, design)).toBeCloseTo(11.37, 4);
    figures[AT.travel + 10] = NaN;
    expect(shortOf(yaw, figures, design)).toBe(shortfall(NaN));
  });
});
