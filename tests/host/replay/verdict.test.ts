import { describe, expect, it } from 'vitest';
import type { Answer, JointAnswer, MetalJoint } from '../../../host/replay/result.ts';
import {
  canItGetThere,
  followsOnMetal,
  provenWords,
  stutterWords,
  willItBeSmooth,
} from '../../../host/replay/verdict.ts';
import { effortOf, exactWords, namesWords } from '../../../host/replay/words.ts';

const joint = (name: string, change: Partial<JointAnswer> = {}): JointAnswer => ({
  name,
  unit: 'deg',
  min: 0,
  max: 0,
  peak_speed: 0,
  peak_plus: 0,
  peak_minus: 0,
  limit_ticks: 0,
  metal: null,
  peak_error: 0,
  peak_error_at_s: 0,
  past: 0,
  past_at_s: 0,
  ...change,
});

/** A replay in which nothing went wrong, but for what a test changes. */
const answer = (change: Partial<Answer> = {}): Answer => ({
  ok: true,
  rig: 'owl',
  stream: 'show.csv',
  target: 'sim',
  proven: 'simulation',
  seconds: 10,
  ticks: 2000,
  frames: 500,
  lost: 0,
  late: 0,
  starved: 0,
  unreachable: 0,
  out_of_reach: 0,
  stopped_by: [],
  beyond: [],
  delay_ms: 80,
  look_ahead_ms: 40,
  wobble_ms: 0,
  latency_ms: { p50: 0, p99: 0, max: 0 },
  tick_us: null,
  path: { peak_mm: 0.01, peak_deg: 0.02, at_s: 1 },
  tolerance: { mm: 0.5, deg: 0.5 },
  joints: [joint('leg1'), joint('nod')],
  speed_peaks: [],
  breaches: [],
  breach_count: 0,
  responses: null,
  response_faults: null,
  metal: null,
  ...change,
});

it('only a board is called one', () => {
  expect((['simulation', 'emulator', 'computer', 'hardware'] as const).map(provenWords)).toEqual([
    'simulation only, never on silicon',
    'an emulated board, never on silicon',
    'a program on this computer, never on silicon',
    'a real board',
  ]);
});

describe('can it get there', () => {
  it('yes, when every pose is within reach', () => {
    expect(canItGetThere(answer()).word).toBe('yes');
  });

  it('tells how often not, and what stops it most often', () => {
    const stopped_by = [
      { joint: 'leg2', cause: 'rod', frames: 3 },
      { joint: 'leg1', cause: 'rod_end', frames: 400 },
    ];
    const { word, because } = canItGetThere(answer({ out_of_reach: 0.41, stopped_by }));
    expect(word).toBe('no');
    expect(because).toMatch(/^For 41 % of the time/);
    expect(because).toContain('leg1: rod end');
    expect(canItGetThere(answer({ out_of_reach: 0.05, stopped_by })).word).toBe('mostly');
    expect(canItGetThere(answer({ out_of_reach: 0.0505, stopped_by })).word).toBe('no');
  });

  it('no, when a limit of place was broken, with the time out of reach beside it', () => {
    const breaches = [{ at_s: 1, where: 'leg1', what: 'rod_end', message: 'a rod end tilts' } as const];
    const { word, because } = canItGetThere(answer({ breaches, breach_count: 1, out_of_reach: 0.01 }));
    expect(word).toBe('no');
    expect(because).toMatch(/For 1\.0 % .* A rod end tilts \(at 1\.00 s\)\.$/);
  });
});

describe('will it be smooth', () => {
  it('yes, when nothing falls behind', () => {
    expect(willItBeSmooth(answer()).word).toBe('yes');
  });

  it('no, when a joint goes past what is asked: named, with how far and when, and apart from being behind', () => {
    const beak = joint('beak', {
      past: 7.5,
      past_at_s: 1.19,
      peak_error: 7.45,
      peak_error_at_s: 1.17,
      limit_ticks: 40,
    });
    const { word, because } = willItBeSmooth(answer({ joints: [joint('nod', { peak_error: 0.6 }), beak] }));
    expect(word).toBe('no');
    expect(because).toBe(
      'beak is asked for more than its limits allow: it goes 7.5 deg past everything asked of it at 1.2 s, and runs at its limits for 2.0 % of the time.',
    );
    const late = joint('nod', { peak_error: 20, peak_error_at_s: 3, limit_ticks: 9 });
    expect(willItBeSmooth(answer({ joints: [late, beak] })).because).toMatch(/nod falls 20\.0 deg behind at 3\.0 s\.$/);
    expect(willItBeSmooth(answer({ joints: [late] })).because).not.toContain('past');
    const actuator = joint('leg1', { unit: 'mm', past: 0.51 });
    expect(willItBeSmooth(answer({ joints: [actuator] }))).toMatchObject({ word: 'no' });
    expect(willItBeSmooth(answer({ joints: [actuator] })).because).toContain('leg1 goes 0.5 mm past everything asked');
    expect(willItBeSmooth(answer({ joints: [joint('leg1', { past: 0.5 })] })).word).toBe('yes');
    // A wobble cure rounds turns off; it sends no joint past.
    expect(willItBeSmooth(answer({ wobble_ms: 160, joints: [joint('nod', { past: 0.6 })] })).word).toBe('no');
  });

  it('mostly, when it speeds up and slows down more often than the stream, with the columns named', () => {
    const peaks = (column: string, asked: number, delivered: number, added = Math.max(0, delivered - asked)) => ({
      column,
      asked,
      delivered,
      added,
    });
    const speed_peaks = [peaks('yaw_deg', 1, 7), peaks('roll_deg', 9, 9), peaks('x_mm', 3, 5)];
    const { word, because } = willItBeSmooth(answer({ speed_peaks }));
    expect(word).toBe('mostly');
    expect(because).toContain('more often than the stream, in speed peaks: yaw (1 → 7) and x (3 → 5).');
    // A bump that the stream all but has.
    expect(willItBeSmooth(answer({ speed_peaks: [peaks('yaw_deg', 3, 4, 0)] })).word).toBe('yes');
    expect(willItBeSmooth(answer({ speed_peaks, starved: 200 })).word).toBe('no');
    const many = ['x_mm', 'y_mm', 'z_mm', 'yaw_deg', 'nod_deg'].map((column) => peaks(column, 1, 2));
    expect(stutterWords({ speed_peaks: many, wobble_ms: 0 })).toContain(
      'x (1 → 2), y (1 → 2), z (1 → 2) and 2 others.',
    );
    // A wobble cure parts quick turns, and what it moves does not show that.
    expect(willItBeSmooth(answer({ speed_peaks, wobble_ms: 160 })).word).toBe('yes');
  });

  it('no, when a joint that is no leg falls behind, though the plate is where it should be', () => {
    const nod = joint('nod', { peak_error: 4.12, peak_error_at_s: 9.8, limit_ticks: 240 });
    const { word, because } = willItBeSmooth(answer({ joints: [joint('leg1'), nod] }));
    expect(word).toBe('no');
    expect(because).toBe(
      'nod is asked for more than its limits allow: it falls 4.1 deg behind at 9.8 s, and runs at its limits for 12 % of the time.',
    );
  });

  it('yes, when a limit was touched and nobody can see it', () => {
    const { word, because } = willItBeSmooth(answer({ joints: [joint('leg1', { peak_error: 0.5, limit_ticks: 2 })] }));
    expect(word).toBe('yes');
    expect(because).toContain('leg1 reaches its limits briefly (0.1 % of the time); not noticeable');
  });

  it('mostly or no, by how many ticks had nothing to play', () => {
    expect(willItBeSmooth(answer({ starved: 100 })).word).toBe('mostly');
    expect(willItBeSmooth(answer({ starved: 101 })).word).toBe('no');
    expect(willItBeSmooth(answer({ late: 1, lost: 2 })).because).toContain('1 frame came too late, 2 frames got lost');
  });

  it('no, when the plate strays further than allowed', () => {
    const { word, because } = willItBeSmooth(answer({ path: { peak_mm: 2, peak_deg: 0, at_s: 1 } }));
    expect([word, because.includes('2.00 mm')]).toEqual(['no', true]);
  });
});

describe('in simulation', () => {
  const metal = (change: Partial<MetalJoint>): MetalJoint => ({
    saturated_ms: 0,
    peak_use: 0.5,
    tracking_error: 0.3,
    tracking_error_at_s: 1,
    beyond_rest: 0.1,
    pushes: 1,
    overrun: 0,
    wobble: 0,
    falls_at_s: null,
    ...change,
  });
  const played = (
    nod: Partial<MetalJoint>,
    falls: NonNullable<Answer['metal']>['falls'] = null,
    exact: string[] = [],
  ): Answer =>
    answer({
      joints: [joint('leg1', { metal: metal({}) }), joint('nod', { metal: metal(nod) })],
      metal: { falls, unsure: null, peak_a: null, rests_on: [], taken_exact: exact },
    });

  it('a servo that keeps up changes nothing', () => {
    expect(followsOnMetal(played({}))).toBe(true);
    expect(willItBeSmooth(played({})).word).toBe('yes');
  });

  it('one that runs out of torque is no, however well its commands follow, and never 0 ms', () => {
    expect(followsOnMetal(played({ saturated_ms: 0.25 }))).toBe(false);
    const { word, because } = willItBeSmooth(played({ saturated_ms: 311.2 }));
    expect([word, because]).toEqual(['no', 'In simulation nod runs out of torque for 311 ms.']);
    expect(willItBeSmooth(played({ saturated_ms: 0.25 })).because).toContain('for 0.3 ms');
  });

  it('a yes says of which joints the metal was not simulated', () => {
    const exact = 'is taken to follow exactly, since servo torque, speed or inertia is unknown';
    expect(exactWords(played({}))).toBeNull();
    expect(exactWords(played({}, null, ['nod']))).toBe(`nod ${exact}`);
    expect(exactWords(played({}, null, ['leg1', 'nod']))).toBe(`all joints ${exact.replace('is', 'are')}`);
    const { word, because } = willItBeSmooth(played({}, null, ['nod']));
    expect(word).toBe('yes');
    expect(because).toMatch(new RegExp(`of what was asked\\. In simulation nod ${exact}\\.$`));
  });

  it('names six legs as one, and what servos give by how they move', () => {
    const legs = [1, 2, 3, 4, 5, 6].map((k) => `leg${String(k)}`);
    expect(namesWords([...legs, 'nod'])).toBe('leg1 to leg6 and nod');
    expect(namesWords(legs.slice(1, 3))).toBe('leg2 and leg3');
    const [turns, slides] = [{ unit: 'deg' }, { unit: 'mm' }] as const;
    expect([[turns], [slides, slides], [turns, slides]].map(effortOf)).toEqual(['torque', 'force', 'torque or force']);
  });

  describe('that cannot be trusted', () => {
    const unsure = { what: 'the plate', at_s: 0.01, look_at: ['parts.head is smaller than lead'] };
    const broken = (change: Partial<Answer> = {}): Answer => {
      const whole = answer({ joints: [joint('leg1', { metal: metal({}) })], ...change });
      return { ...whole, metal: { falls: null, unsure, peak_a: null, rests_on: [], taken_exact: [] } };
    };

    it('is neither a yes nor a fall: it says so, and which figure no prop has', () => {
      expect(followsOnMetal(broken())).toBe(false);
      const { word, because } = willItBeSmooth(broken());
      expect(word).toBe('unknown');
      expect(because).toMatch(/^The simulation cannot tell: its motion of the plate runs away at 0\.01 s/);
      expect(because).toContain('parts.head is smaller than lead');
      expect(because).not.toContain('falls');
    });

    it('leaves a no of the commands as it is', () => {
      const { word, because } = willItBeSmooth(broken({ starved: 101 }));
      expect(word).toBe('no');
      expect(because).toContain('The simulation cannot tell');
    });
  });

  it('what falls is said first, with when', () => {
    const fallen = played({ saturated_ms: 40 }, { what: 'the plate', at_s: 3.2 });
    expect(followsOnMetal(played({}, { what: 'the plate', at_s: 3.2 }))).toBe(false);
    expect(willItBeSmooth(fallen).because).toBe(
      'In simulation the plate falls at 3.20 s; before that, nod runs out of torque for 40 ms.',
    );
  });
});
