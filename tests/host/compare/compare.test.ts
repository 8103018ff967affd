/** Rigs side by side: what `reach` and `load` say of each, and which differences are more than the figures may be off. */
import { parse } from 'yaml';
import { describe, expect, it } from 'vitest';
import { type Candidate, compare } from '../../../host/compare/compare.ts';
import { flatKeys, keyRows, shownValue } from '../../../host/compare/keys.ts';
import type { Comparison, FigureRow } from '../../../host/compare/result.ts';
import { load } from '../../../host/load/load.ts';
import { figureWords, sameMark } from '../../../host/compare/words.ts';
import { HOME } from '../../../host/rig/rig.ts';
import { reach } from '../../../host/reach/reach.ts';
import { LIFT, OWL, TILT, rigFrom, streamOf } from '../load/rigs.ts';

type Change = readonly [from: string, to: string];

function candidate(name: string, text: string, changes: readonly Change[], seconds = 0): Candidate {
  const rig = rigFrom(text, ...changes);
  const changed = changes.reduce((now, [from, to]) => now.replace(from, () => to), text);
  const stream = seconds > 0 ? streamOf(rig, seconds, (t) => ({ joints: [8 * Math.sin(5 * t)] })) : null;
  return { name, rig, keys: flatKeys(parse(changed)), stream };
}

function compared(text: string, changes: readonly (readonly Change[])[], seconds = 0): Comparison {
  const candidates = changes.map((change, i) => candidate(`rig${String(i)}`, text, change, seconds));
  const answer = compare(candidates, seconds > 0 ? 'show.csv' : null);
  if ('refused' in answer) throw new Error(answer.refused);
  return answer;
}

const rowOf = ({ figures }: Comparison, name: string): FigureRow => figures.find((row) => row.name === name)!;

describe('the figures are those of reach and load', () => {
  const wide: readonly Change[] = [['base: { radius_mm: 70', 'base: { radius_mm: 76']];
  const answer = compared(OWL, [[], wide], 1);
  const rigs = [rigFrom(OWL), rigFrom(OWL, ...wide)];

  it('travels with what stops them', () => {
    const options = { at: HOME, planes: [], box: null, samples: 1, seed: 1, sensitivity: false };
    for (const [i, rig] of rigs.entries())
      for (const { axis, minus, plus, plus_stop } of reach(rig, options).axes) {
        expect(rowOf(answer, `${axis}_minus`).values[i]).toBe(minus);
        expect(rowOf(answer, `${axis}_plus`).values[i]).toBe(plus);
        if (plus_stop) expect(rowOf(answer, `${axis}_plus`).because[i]).toContain(plus_stop.joint);
      }
  });

  it('use, hold and currents', () => {
    for (const [i, rig] of rigs.entries()) {
      const stored = streamOf(rig, 1, (t) => ({ joints: [8 * Math.sin(5 * t)] }));
      const truth = load(rig, { pose: HOME, without: [], stream: { name: 'show.csv', stored } });
      if ('refused' in truth) throw new Error(truth.refused);
      const uses = truth.joints.flatMap(({ along, worst }) => [along?.use ?? 0, worst.use ?? 0]);
      expect(rowOf(answer, 'use').values[i]).toBe(Math.max(...uses));
      expect(rowOf(answer, 'hold').values[i]).toBeCloseTo(
        Math.max(...truth.joints.map(({ hold_use }) => hold_use ?? 0)),
        9,
      );
      if (truth.supply.hold_a !== null) expect(rowOf(answer, 'hold_a').values[i]).toBeCloseTo(truth.supply.hold_a, 9);
    }
  });

  it('the largest use is of what is held where that is more than what moves, by hand', () => {
    // Standing still at 20 deg, of 0.9 kg at 50 mm behind 3:1; level it would hold more.
    const still = (name: string): Candidate => {
      const one = candidate(name, TILT, []);
      return { ...one, stream: streamOf(one.rig, 1, () => ({ joints: [20, 20] })) };
    };
    const told = compare([still('a'), still('b')], 'show.csv');
    if ('refused' in told) throw new Error(told.refused);
    const { values, because } = rowOf(told, 'use');
    expect(values[0]).toBeCloseTo((0.9 * 9.80665 * 0.05) / 2.7 / 1.5, 6);
    expect(because[0]).toBe('nod');
  });

  it('sizes, by the file', () => {
    expect(rowOf(answer, 'base_radius')).toMatchObject({
      values: [expect.closeTo(70, 9), expect.closeTo(76, 9)],
      alike: false,
    });
    expect(rowOf(answer, 'plate_radius').alike).toBe(true);
  });
});

describe('alike', () => {
  // One weight 50 mm in front of an axis behind 3:1: its hold is m·g·arm, and grows by 1 % with its mass.
  it('a mass that is 1 % more, where each is known to 10 %: alike; 40 % more: not', () => {
    expect(rowOf(compared(TILT, [[], [['mass_kg: 0.9', 'mass_kg: 0.909']]]), 'hold')).toMatchObject({ alike: true });
    expect(rowOf(compared(TILT, [[], [['mass_kg: 0.9', 'mass_kg: 1.26']]]), 'hold')).toMatchObject({ alike: false });
  });

  it('how far the difference may be off: both masses to 10 %, their squares added, by hand', () => {
    const { values, unsure } = rowOf(compared(TILT, [[], [['mass_kg: 0.9', 'mass_kg: 1.26']]]), 'hold');
    const own = (kg: number): number => (0.1 * kg * 9.80665 * 0.05) / (1.5 * 3 * 0.9);
    const [a, b] = values as [number, number];
    // The stall torque and the gear are the same in both files: off in both by as much, they move the difference in proportion; the
    // share is over stall torque (10 %) and gear efficiency (10 %, never above 1). The worse way counts: less of them.
    const stall = (b - a) * (1 / 0.9 - 1);
    const gear = (b - a) * (0.9 / 0.81 - 1);
    expect(unsure[1]!).toBeCloseTo(Math.hypot(own(0.9), own(1.26), stall, gear), 4);
  });

  it('the same of the largest use, where it is held most: 25 deg up, of a weight 45 deg below the axis', () => {
    const at = 50 * Math.SQRT1_2;
    const below = TILT.replace('at_mm: [50, 0, 0], in', `at_mm: [${String(at)}, 0, ${String(-at)}], in`);
    const { values, unsure } = rowOf(compared(below, [[], [['mass_kg: 0.9', 'mass_kg: 1.26']]]), 'use');
    const share = (kg: number): number => (kg * 9.80665 * 0.05 * Math.cos(Math.PI / 9)) / (1.5 * 3 * 0.9);
    const [a, b] = [share(0.9), share(1.26)];
    expect(values).toEqual([expect.closeTo(a, 6), expect.closeTo(b, 6)]);
    // The worse way: less of them.
    const stall = (b - a) * (1 / 0.9 - 1);
    const gear = (b - a) * (1 / 0.9 - 1);
    expect(unsure[1]!).toBeCloseTo(Math.hypot(0.1 * a, 0.1 * b, stall, gear), 4);
  });

  it('what both files have alike is off in both: a difference that comes of an exact figure alone shows', () => {
    const exact = (deg: string): Change => ['at_mm: [50, 0, 0]', `at_mm: [${deg}, 0, 0]`];
    expect(rowOf(compared(TILT, [[exact('50')], [exact('53')]]), 'hold')).toMatchObject({ alike: false });
  });

  it('a rod of 0.1 mm more, where rods are built to 0.5 mm: no travel differs', () => {
    const { figures } = compared(OWL, [[], [['rod_mm: 120', 'rod_mm: 120.1']]]);
    expect(figures.filter(({ group, alike }) => group === 'travel' && !alike)).toEqual([]);
    expect(figures.filter(({ group }) => group === 'travel')).toHaveLength(12);
  });

  it('a figure that either way makes worse: a weight in balance holds nothing, and off by 10 % either way a tenth of it', () => {
    const balanced = (kg: number, at_mm: number): readonly Change[] => [
      [
        'inertia_kgmm2: [600, 600, 600] }',
        `inertia_kgmm2: [600, 600, 600] }\n  - { name: opposite, on: nod, mass_kg: ${String(kg)}, at_mm: [${String(at_mm)}, 0, 0] }`,
      ],
    ];
    const { values, unsure } = rowOf(compared(TILT, [balanced(0.9, -50), balanced(0.45, -100)]), 'hold');
    // Beyond the lid's share, which is the most there is in balance; the head is alike in both, what is opposite is not.
    const tenth = (0.09 * 9.80665 * 0.05) / (1.5 * 3 * 0.9) - values[0]!;
    expect(tenth).toBeGreaterThan(0.001);
    expect(unsure[1]!).toBeCloseTo(Math.SQRT2 * tenth, 9);
  });

  it('a rig that has no home where its rods are 0.5 mm shorter: how far it goes beside another cannot be told', () => {
    // With rods of 63.2 mm their ends would tilt by more than 28 deg at home.
    const rods = (mm: number): readonly Change[] => [
      ['rod_mm: 120', `rod_mm: ${String(mm)}`],
      ['rest: { z_mm: -8 }', 'rest: { z_mm: 0 }'],
    ];
    const row = rowOf(compared(OWL, [rods(120), rods(63.3)]), 'z_plus');
    expect(row.values[1]).not.toBeNull();
    expect(row).toMatchObject({ unsure: [null, null], same: [true, null], alike: false });
    expect([sameMark(row, 0), sameMark(row, 1)]).toEqual(['', '? ']);
  });

  it('a plate that hangs loose within its soft limits has no largest use: that is told instead', () => {
    const loose: readonly Change[] = [
      ['limit_mm: [150, 170]', 'limit_mm: [135, 195]'],
      ['at_mm: [0, 0, 50]', 'at_mm: [20, 0, 50]'],
    ];
    const row = rowOf(compared(LIFT, [[], loose], 1), 'use');
    expect(row.values[0]).toBeGreaterThan(0);
    expect(row).toMatchObject({ values: [row.values[0], null], alike: false });
    expect(figureWords(row, 1)).toEqual({ value: 'the plate hangs loose within the soft limits', because: '' });
  });

  it('the same file but for its name: everything', () => {
    const { figures, keys } = compared(LIFT, [[], []]);
    expect([figures.every(({ alike }) => alike), keys]).toEqual([true, []]);
  });
});

describe('keys', () => {
  it('geometry first, parts by name, figures with sources as their value', () => {
    const one = flatKeys(
      parse(
        'rig: a\nservos: { n: { stall_torque_nm: 1 } }\nplatform: { rod_mm: { value: 120, from: measured } }\nparts: [{ name: b, at_mm: [0, 0, 1] }]',
      ),
    );
    const two = flatKeys(
      parse(
        'rig: b\nservos: { n: { stall_torque_nm: 2 } }\nplatform: { rod_mm: 125 }\nparts: [{ name: b, at_mm: [0, 0, 2] }, { name: c, mass_kg: 1 }]',
      ),
    );
    expect(keyRows([one, two])).toEqual([
      { path: 'platform.rod_mm', values: ['120', '125'] },
      { path: 'parts.b.at_mm', values: ['[0, 0, 1]', '[0, 0, 2]'] },
      { path: 'parts.c.mass_kg', values: [null, '1'] },
      { path: 'servos.n.stall_torque_nm', values: ['1', '2'] },
    ]);
  });

  it.each([
    ['platform.rod_mm', '120', '120 mm'],
    ['joints.nod.accel_deg_s2.plus', '600', '600 deg/s²'],
    ['platform.pivot_mm', '[0, 0, 40]', '[0, 0, 40] mm'],
    ['platform.home_z_mm', 'level', 'level'],
    ['joints.nod.gear_ratio', '3', '3'],
    ['platform.rod_mm', null, 'not given'],
    ['servos.ram.us_per_mm', '14', '14 µs/mm'],
    ['servos.neck.us_per_deg', '10', '10 µs/deg'],
  ])('%s %s', (path, value, words) => {
    expect(shownValue(path, value)).toBe(words);
  });
});

it('pulses come last, and an inertia of nothing beside none is no difference', () => {
  const rows = keyRows([
    flatKeys({ servos: { a: { range_us: [1, 2], stall_torque_nm: 1 } }, platform: { rod_mm: 1 } }),
    flatKeys({
      servos: { a: { range_us: [1, 3], stall_torque_nm: 2 } },
      platform: { rod_mm: 2 },
      parts: [{ name: 'weight', mass_kg: 1, inertia_kgmm2: [0, 0, 0] }],
    }),
  ]);
  expect(rows.map(({ path }) => path)).toEqual([
    'platform.rod_mm',
    'parts.weight.mass_kg',
    'servos.a.stall_torque_nm',
    'servos.a.range_us',
  ]);
  const heavy = flatKeys({ parts: [{ name: 'weight', inertia_kgmm2: [1, 1, 1] }] });
  const point = flatKeys({ parts: [{ name: 'weight', inertia_kgmm2: [0, 0, 0] }] });
  expect(keyRows([heavy, point]).map(({ path }) => path)).toEqual(['parts.weight.inertia_kgmm2']);
});
