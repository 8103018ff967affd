/** `tune` with a measured wobble: from a phone's table or counted swings into the rig file, or words. */
import { readFileSync } from 'node:fs';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { needController, run, scratch } from './fixture.ts';

const files = scratch();
beforeAll(needController);
afterAll(() => {
  files.remove();
});

const ARM = `rig: arm   # a lamp that looks about
servos:
  s: { stall_torque_nm: 2, no_load_speed_deg_s: 400, frame_hz: 50, centre_us: 1500, us_per_deg: 10, range_us: [600, 2400], rotor_inertia_kgm2: 5.0e-4 }
joints:
  sway:
    servo: s
    pin: 2
    axis: { at_mm: [0, 0, 0], along: [0, 0, 1] }
    limit_deg: [-60, 60]
    speed_deg_s: 60
    accel_deg_s2: 200
    load: { mass_kg: 0.2, arm_mm: 50, inertia_kgm2: 0.001 }
motion:
  tick_hz: 200   # as the servos like it
rest: on_stop
audience: bench
`;
const arm = files.put('arm.yaml', ARM);
const HZ = 3.1;
const DAMPING = 0.025;
const table = (ring: (t: number) => number): string =>
  `"Time (ms)";"gyro z"\n${Array.from({ length: 700 }, (_, i) => `${String(10 * i)};${ring(i / 100).toFixed(4)}`).join('\n')}\n`;
const w = 2 * Math.PI * HZ;
const dying = (t: number): number =>
  (t < 1 ? 0 : 8 * Math.exp(-DAMPING * w * (t - 1)) * Math.sin(w * (t - 1))) + 0.1 * Math.sin(991 * t * t);
const shake = files.put('phone.csv', table(dying));

describe('a computed swing', () => {
  it('is cured as a measured one is, and called computed', async () => {
    const { code, out } = await run(['tune', arm, '--computed']);
    expect(code).toBe(0);
    expect(out).toMatch(/wobble +computed, not measured: sway would swing at \d+\.\d Hz/);
    expect(out).toMatch(/arm\.yaml\s+--computed\s+-o\s+tuned\.yaml/);
  });

  it('is not asked for beside a measured one', async () => {
    const { code, err } = await run(['tune', arm, '--computed', '--shake', shake]);
    expect(code).toBe(2);
    expect(err).toContain('--shake  a wobble is measured or computed: give --computed alone');
  });
});

describe('a recorded shake', () => {
  it('is cured in the file: one line more, all else as it was', async () => {
    const to = files.path('still.yaml');
    const { code, out, err } = await run(['tune', arm, '--shake', shake, '-o', to]);
    expect([code, err]).toEqual([0, '']);
    expect(out).toMatch(/wobble +it wobbles at 3\.1\d* Hz, give or take/);
    expect(out).toMatch(/cure: tolerant, which leaves about 5 % at most/);
    expect(out).toMatch(/it costs 1\d\d ms/);
    const [, hz, damping] = /wobble: \{ cure: tolerant, hz: ([\d.]+), damping: ([\d.]+) \}/.exec(
      readFileSync(to, 'utf8'),
    )!;
    expect(Math.abs(Number(hz) - HZ)).toBeLessThan(0.02);
    expect(Math.abs(Number(damping) - DAMPING)).toBeLessThan(0.002);
    const line = `  wobble: { cure: tolerant, hz: ${hz!}, damping: ${damping!} }\n`;
    expect(readFileSync(to, 'utf8')).toBe(ARM.replace('like it\n', `like it\n${line}`));
    expect((await run(['check', to])).out).toMatch(/wobble +cure: tolerant for 3\.\d+ Hz/);
  });

  it('is in the JSON, with what it may be off by', async () => {
    const { code, out } = await run(['tune', arm, '--shake', shake, '--json']);
    expect(code).toBe(0);
    const { wobble } = JSON.parse(out);
    expect(wobble).toMatchObject({
      from: 'shake',
      cure: 'tolerant',
      hz: expect.closeTo(HZ, 1),
      words: expect.any(Array),
    });
    for (const key of ['hz_within', 'damping', 'damping_within', 'delay_ms']) expect(wobble[key]).toBeGreaterThan(0);
    expect(wobble.tried).toEqual({
      joint: 'sway',
      before_deg: expect.any(Number),
      after_deg: expect.any(Number),
      move: expect.stringMatching(/^sway from -?[\d.]+ to -?[\d.]+ deg$/),
      moves: 2,
    });
    expect(wobble.tried.after_deg).toBeLessThan(0.05 * wobble.tried.before_deg);
    expect(JSON.parse((await run(['tune', arm, '--json'])).out).wobble).toBeNull();
  });

  it('without a clear decay is words, and nothing is written', async () => {
    const hum = files.put(
      'hum.csv',
      table((t) => 5 * Math.sin(37 * t)),
    );
    const to = files.path('hum.yaml');
    const { code, out, err } = await run(['tune', arm, '--shake', hum, '-o', to]);
    expect([code, out]).toEqual([2, '']);
    expect(err).toMatch(/hum\.csv +.*(rings and dies away|does not clearly die away)/);
    expect(() => readFileSync(to)).toThrow();
  });
});

describe('counted swings', () => {
  it('say what to do next', async () => {
    const { code, out } = await run(['tune', arm, '--swings', '8', '--first', '12', '--last', '5', '--seconds', '2.6']);
    expect(code).toBe(0);
    expect(out).toMatch(/from 8 counted\s+swings/);
    expect(out).toMatch(
      /nothing written yet: posewright tune .* --swings\s+…\s+-o\s+tuned\.yaml\s+writes\s+the\s+wobble/,
    );
  });

  it.each([
    [['--swings', '8'], /--first +is missing: counted swings take/],
    [['--swings', 'x', '--first', '2', '--last', '1', '--seconds', '1'], /--swings +found "x"; allowed: a number/],
    [['--swings', '3', '--first', '1', '--last', '2', '--seconds', '1'], /did not die away/],
    [
      ['--swings', '3', '--first', '9', '--last', '2', '--seconds', '60'],
      /motion\.wobble +found 0\.05 Hz: .* cannot look back far enough/,
    ],
    [['--swings', '3', '--shake', shake], /give --shake or --swings, not both/],
    [['--shake', 'nowhere.csv'], /nowhere\.csv +there is no such file/],
  ])('%j: words', async (args, words) => {
    const { code, err } = await run(['tune', arm, ...args]);
    expect(code).toBe(2);
    expect(err).toMatch(words);
  });
});
