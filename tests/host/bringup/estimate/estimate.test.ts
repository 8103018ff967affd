/** A prop whose geometry is not its rig's, measured with gauges that round and scatter: what is found, how sure, and what cannot be told. */
import { describe, expect, it } from 'vitest';
import { type Estimate, type EstimateOptions, estimate } from '../../../../host/bringup/estimate/estimate.ts';
import { type Wanted } from '../../../../host/bringup/estimate/figures.ts';
import { plan } from '../../../../host/bringup/estimate/plan.ts';
import type { ReadingName } from '../../../../host/bringup/estimate/readings.ts';
import type { TableRow } from '../../../../host/bringup/estimate/table.ts';
import { withFigures } from '../../../../host/rig/edit.ts';
import type { Rig } from '../../../../host/rig/rig.ts';
import { LINEAR } from '../../rig/owl.ts';
import { OWL, PLATE, measure, rigOfText, trueProp } from './prop.ts';

const owl = rigOfText(OWL);
const sticks = rigOfText(LINEAR);
const OFF = {
  crank_mm: 0.4,
  rod_mm: -0.8,
  'base.radius_mm': 1,
  'base.half_angle_deg': 0.7,
  'moving.radius_mm': 0.6,
  'moving.half_angle_deg': -0.5,
} as const;
/** The noise beside rounding, in last digits: 0.01 mm and 0.005 deg. */
const QUIET = 0.1;

function found(rig: Rig, rows: readonly TableRow[], options: EstimateOptions = {}): Estimate & { geometry: object } {
  const it = estimate(rig, rows, options);
  if ('problem' in it) throw new Error(it.problem);
  if (!it.geometry) throw new Error('no geometry');
  return it as Estimate & { geometry: object };
}

const pulsesOf = (rig: Rig, n: number, wanted: Wanted = {}): (readonly number[])[] =>
  plan(rig, n, wanted).map(({ pulses_us }) => pulses_us);

const errorsOf = ({ geometry }: Estimate, off: Readonly<Record<string, number>>): Record<string, number> =>
  Object.fromEntries(geometry!.figures.map(({ name, value, at }) => [name, value - at - (off[name] ?? 0)]));

describe('the owl, cranks of 22 mm', () => {
  const rows = pulsesOf(owl, 16);
  const prop = trueProp(owl, OFF);

  it.each([1, 2, 3, 4, 5])(
    'lengths are found to 0.2 mm from heights to 0.1 mm and tilts to 0.05 deg at 16 poses (seed %i)',
    (seed) => {
      const { geometry } = found(owl, measure(owl, prop, rows, PLATE, seed, QUIET));
      expect(geometry.rank).toBe(6);
      for (const { name, unit, value, at } of geometry.figures)
        expect(Math.abs(value - at - OFF[name as keyof typeof OFF])).toBeLessThan(unit === 'mm' ? 0.2 : 0.15);
    },
  );

  it('without noise or rounding it is exact', () => {
    const errors = errorsOf(found(owl, measure(owl, prop, rows, PLATE, 1, 0)), OFF);
    for (const error of Object.values(errors)) expect(Math.abs(error)).toBeLessThan(1e-6);
  });

  it('19 of 20 limits hold, with three times that noise', () => {
    let held = 0;
    let all = 0;
    for (let seed = 1; seed <= 20; seed++) {
      const result = found(owl, measure(owl, prop, rows, PLATE, seed, 0.3));
      const errors = errorsOf(result, OFF);
      for (const { name, off } of result.geometry.figures) {
        all++;
        if (Math.abs(errors[name]!) <= off) held++;
      }
    }
    // 120 limits, in groups of six that go together.
    expect(held / all).toBeGreaterThan(0.89);
    expect(held / all).toBeLessThan(0.995);
  });

  it('the rig file takes what was found, each with where it is from, and is a rig', () => {
    const { changes } = found(owl, measure(owl, prop, rows, PLATE, 1, QUIET));
    expect(changes.map(({ path }) => path.join('.'))).toEqual(Object.keys(OFF).map((name) => `platform.${name}`));
    const text = withFigures(OWL, changes, 'measured by posewright')!;
    const after = rigOfText(text);
    expect(after.platform!.crank_mm).toBeCloseTo(22.4, 1);
    expect(after.sources.get('platform.base.radius_mm')?.from).toBe('measured');
    const { within_percent } = after.sources.get('platform.rod_mm')!;
    expect(within_percent).toBeGreaterThan(0.005);
    expect(within_percent).toBeLessThan(0.1);
  });

  it('one height wrong by 3 mm is named with its line, and nothing is where nothing is wrong', () => {
    const good = measure(owl, prop, rows, PLATE, 2, QUIET);
    expect(found(owl, good).geometry.odd).toBeNull();
    const bad = good.map((row, i) =>
      i === 6
        ? { ...row, plate: row.plate.map((it) => (it.name === 'height_mm' ? { ...it, value: it.value + 3 } : it)) }
        : row,
    );
    const result = found(owl, bad);
    expect(result.geometry.odd).toMatchObject({ line: 8, name: 'height_mm', value: bad[6]!.plate[0]!.value });
    expect(Math.abs(result.geometry.odd!.instead - good[6]!.plate[0]!.value)).toBeLessThan(0.6);
    expect(result.words.join('\n')).toMatch(/line 8: height_mm is .*read it again/);
  });

  it('heights alone leave combinations untold, and says so; what is held stays within what the rig may be off by', () => {
    const result = found(owl, measure(owl, prop, rows, ['height_mm'], 3, QUIET));
    expect(result.geometry.rank).toBeLessThan(6);
    expect(result.words.join('\n')).toMatch(/the readings cannot tell .*base\.radius_mm.* apart/);
    expect(result.geometry.figures.find(({ name }) => name === 'base.radius_mm')!.off).toBeGreaterThan(0.3);
    for (const { name, off } of result.geometry.figures)
      expect(Math.abs(errorsOf(result, OFF)[name]!)).toBeLessThan(2 * off);
  });

  it('one pose over and over tells at most three combinations of six', () => {
    const again = Array.from({ length: 8 }, () => rows[3]!);
    const result = found(owl, measure(owl, prop, again, PLATE, 4, QUIET));
    expect(result.geometry.rank).toBeLessThanOrEqual(3);
    expect(result.geometry.apart).toHaveLength(6 - result.geometry.rank);
    expect(result.words.join('\n')).toMatch(/combinations of them stay as the rig has them/);
    // Nothing that is mostly held is written as measured.
    for (const { to } of result.changes) expect(to).toMatchObject({ from: 'estimate' });
  });

  it('two poses are too few, and it says how many readings it takes', () => {
    const few = estimate(owl, measure(owl, prop, rows.slice(0, 2), PLATE, 1));
    expect(few).toMatchObject({ problem: expect.stringMatching(/^6 readings of the plate: 6 figures need 9 or more/) });
  });

  it('where the ruler stands is found as well when asked for: it hides in the rods’ length else', () => {
    const wanted = { zero: true };
    const low = trueProp(owl, { ...OFF, 'the ruler’s zero': 0.9 }, wanted);
    const measured = measure(owl, low, pulsesOf(owl, 24, wanted), PLATE, 5, QUIET);
    const plain = found(owl, measured);
    expect(Math.abs(errorsOf(plain, OFF)['rod_mm']!)).toBeGreaterThan(0.4);
    const result = found(owl, measured, wanted);
    for (const { name, off } of result.geometry.figures)
      expect(Math.abs(errorsOf(result, { ...OFF, 'the ruler’s zero': 0.9 })[name]!)).toBeLessThan(1.5 * off);
    expect(result.changes.every(({ path }) => path[0] === 'platform')).toBe(true);
  });

  it('each centre as well when asked for', () => {
    const wanted = { centres: true };
    const off = { ...OFF, 'leg1.centre_us': 4, 'leg4.centre_us': -6 };
    const result = found(
      owl,
      measure(owl, trueProp(owl, off, wanted), pulsesOf(owl, 24, wanted), PLATE, 6, QUIET),
      wanted,
    );
    for (const { name, off: may } of result.geometry.figures)
      expect(Math.abs(errorsOf(result, off)[name]!)).toBeLessThan(1.5 * may);
    expect(Math.abs(errorsOf(result, off)['leg4.centre_us']!)).toBeLessThan(2);
  });

  it('heights of three points of the plate do for height and tilts', () => {
    const points = { h1_mm: [50, 0, 0], h2_mm: [-25, 43, 0], h3_mm: [-25, -43, 0] } as const;
    const names: readonly ReadingName[] = ['h1_mm', 'h2_mm', 'h3_mm'];
    const result = found(owl, measure(owl, prop, rows, names, 7, QUIET, points), { points });
    expect(result.geometry.rank).toBe(6);
    for (const { name, unit } of result.geometry.figures)
      if (unit === 'mm') expect(Math.abs(errorsOf(result, OFF)[name]!)).toBeLessThan(0.3);
  });

  it('pulses at which the rig cannot stand are refused with their line', () => {
    const long: Rig = { ...owl, platform: { ...owl.platform!, crank_mm: 35 } };
    const centres = owl.joints.slice(0, 6).map(({ centre_us }) => centre_us);
    const wild = [...Array.from({ length: 5 }, () => centres), [600, 600, 2400, 600, 600, 600]];
    const all = wild.map((pulses_us, i) => ({
      line: i + 2,
      pulses_us,
      legs: [],
      plate: [{ name: 'height_mm' as const, value: 150 }],
    }));
    expect(estimate(long, all)).toMatchObject({
      problem: expect.stringMatching(/^line 7: by the rig the legs do not go/),
    });
  });
});

describe('plates given by points', () => {
  const points = owl.platform!.legs.map(({ base_mm }) => `[${base_mm.map((v) => v.toFixed(2)).join(', ')}]`);
  const rig = rigOfText(
    OWL.replace(/base: {3}\{ radius_mm: 70, half_angle_deg: 14 \}/, `base: { points_mm: [${points.join(', ')}] }`),
  );

  it('stay as they were measured; crank, rod and the other plate are found', () => {
    const off = { crank_mm: 0.4, rod_mm: -0.8, 'moving.radius_mm': 0.6 };
    const result = found(rig, measure(rig, trueProp(rig, off), pulsesOf(rig, 16), PLATE, 1, QUIET));
    expect(result.geometry.figures.map(({ name }) => name)).toEqual([
      'crank_mm',
      'rod_mm',
      'moving.radius_mm',
      'moving.half_angle_deg',
    ]);
    for (const error of Object.values(errorsOf(result, off))) expect(Math.abs(error)).toBeLessThan(0.2);
    expect(result.words.join('\n')).toContain('platform.base is given by points_mm');
  });
});

describe('six actuators', () => {
  const off = {
    'base.radius_mm': 1,
    'base.half_angle_deg': 0.7,
    'moving.radius_mm': 0.6,
    'moving.half_angle_deg': -0.5,
    'all centre_us together': 3,
  };

  it('plates and the actuators’ common length are found; what is unsure is said so', () => {
    const rows = pulsesOf(sticks, 16);
    const result = found(sticks, measure(sticks, trueProp(sticks, off), rows, PLATE, 1, QUIET));
    const errors = errorsOf(result, off);
    for (const { name, off: may } of result.geometry.figures) expect(Math.abs(errors[name]!)).toBeLessThan(1.5 * may);
    expect(Math.abs(errors['base.radius_mm']!)).toBeLessThan(0.3);
    const centres = result.changes.filter(({ path }) => path[2] === 'centre_us');
    expect(centres.map(({ path }) => path[1])).toEqual(['leg1', 'leg2', 'leg3', 'leg4', 'leg5', 'leg6']);
  });
});

describe('the scale of a leg', () => {
  const row = (line: number, i: number, us: number, reading: number): TableRow => ({
    line,
    pulses_us: Array.from({ length: 6 }, (_, k) => (k === i ? us : NaN)),
    legs: Array.from({ length: 6 }, (_, k) => (k === i ? reading : NaN)),
    plate: [],
  });
  /** 9.6 µs per degree, centre 1523 µs, the other way round; read to half a degree. */
  const read = (us: number): number => Math.round((-2 * (us - 1523)) / 9.6) / 2;
  const table = [1000, 1200, 1400, 1600, 1800, 2000].map((us, k) => row(k + 2, 3, us, read(us)));

  it('centre, scale and sense of its servo', () => {
    const result = estimate(owl, table) as Estimate;
    expect(result.geometry).toBeNull();
    const [scale] = result.scales;
    expect(scale).toMatchObject({ joint: 'leg4', sense: -1, readings: 6, unit: 'deg' });
    expect(Math.abs(scale!.us_per_unit - 9.6)).toBeLessThan(scale!.us_per_unit_off);
    expect(Math.abs(scale!.centre_us - 1523)).toBeLessThan(scale!.centre_off_us);
    expect(scale!.us_per_unit_off / 9.6).toBeLessThan(0.01);
    expect(result.changes.map(({ path }) => path.join('.'))).toEqual([
      'joints.leg4.centre_us',
      'joints.leg4.us_per_deg',
      'joints.leg4.sense',
    ]);
  });

  it('goes into the geometry that is estimated from the same table', () => {
    const turned: Rig = {
      ...owl,
      joints: owl.joints.map((joint) => (joint.name === 'leg4' ? { ...joint, centre_us: 1530 } : joint)),
    };
    const rows = pulsesOf(owl, 16);
    const plates = measure(owl, trueProp(owl, OFF), rows, PLATE, 1, QUIET);
    // leg4 of the prop is the owl's: 1500 µs, 10 µs per degree.
    const legs = [1100, 1300, 1500, 1700, 1900].map((us, k) => row(k + 40, 3, us, (us - 1500) / 10));
    const blind = errorsOf(found(turned, plates), OFF);
    const errors = errorsOf(found(turned, [...plates, ...legs]), OFF);
    expect(Math.max(...Object.values(blind).map(Math.abs))).toBeGreaterThan(0.3);
    expect(Math.max(...Object.values(errors).map(Math.abs))).toBeLessThan(0.2);
  });

  it('of a leg that does not move is refused; two pulses are too few', () => {
    const still = [1000, 1500, 2000, 1200].map((us, k) => row(k + 2, 0, us, [3, 3.5, 3, 3.5][k]!));
    expect(estimate(owl, still)).toMatchObject({ problem: expect.stringMatching(/^leg1 does not follow its pulses/) });
    expect(estimate(owl, table.slice(0, 2))).toMatchObject({
      problem: expect.stringMatching(/^leg4 was read at too few pulses/),
    });
  });
});
