import { readFileSync } from 'node:fs';
import { afterAll, describe, expect, it } from 'vitest';
import { z } from 'zod';
import { LIFT, OWL as BARE, TILT } from '../load/rigs.ts';
import { OWL, run, scratch, stream } from './fixture.ts';

const folder = scratch();
afterAll(folder.remove);
const owl = folder.put('owl.yaml', OWL);
const lift = folder.put('lift.yaml', LIFT);
const tilt = folder.put('tilt.yaml', TILT);
const calm = folder.put('calm.csv', stream(2, { nod_deg: (t) => 3 - 3 * Math.cos(Math.PI * t) }));
const wild = folder.put('wild.csv', stream(2, { nod_deg: (t) => (t < 1 ? 0 : -20) }));

const figure = z.number().nullable();
const along = {
  use: figure,
  at_s: figure,
  peak_at_s: figure.optional(),
  impossible: z.literal('speed').nullable().optional(),
  rms_use: figure.optional(),
  hot: z.object({ for_s: z.number(), from_s: z.number(), share: z.number() }).nullable().optional(),
  use_over_time: z.array(figure).optional(),
};
const common = { name: z.string(), hold_use: figure, continuous_use: z.number(), peak_use: z.number(), ...along };
const place = z.record(z.string(), z.number());
const turning = z.strictObject({
  ...common,
  hold_nm: figure,
  worst: z.strictObject({ hold_nm: figure, use: figure, loose: z.boolean(), at: place }),
  peak_nm: figure,
  needs_nm: figure,
  peak_speed_deg_s: z.number().optional(),
  there_nm: z.number().optional(),
  there_deg_s: z.number().optional(),
  stall_nm: figure,
  fastest_deg_s: z.number().optional(),
});
const pushing = z.strictObject({
  ...common,
  hold_n: figure,
  worst: z.strictObject({ hold_n: figure, use: figure, loose: z.boolean(), at: place }),
  peak_n: figure,
  needs_n: figure,
  stall_n: figure,
  fastest_mm_s: z.number().optional(),
});
const room = z.object({ kg: figure, runs_out: z.string().nullable(), when: z.string(), because: z.string() });
const answer = z.strictObject({
  ok: z.boolean(),
  troubles: z.array(z.strictObject({ cause: z.string(), joint: z.string().nullable() })),
  rig: z.string(),
  stream: z.string().nullable(),
  without: z.array(z.string()),
  at: place,
  stopped: z.string().nullable(),
  joints: z.array(z.union([turning, pushing])),
  sag: z.strictObject({ plate: place.nullable(), joints: z.record(z.string(), figure), assumed: z.array(z.string()) }),
  easiest: z.unknown(),
  seconds: figure,
  out_of_reach: figure,
  beyond: z.array(
    z.strictObject({ joint: z.string(), asked_deg: z.number(), limit_deg: z.number(), at_s: z.number() }),
  ),
  warm: z.array(
    z.strictObject({ joint: z.string(), where: z.string(), share: z.number(), for_s: figure, from_s: figure }),
  ),
  supply: z.strictObject({
    hold_a: figure,
    peak_a: figure,
    peak_at_s: figure,
    stalled_a: figure,
    gives_a: figure,
    fuse_a: figure,
    unknown: z.array(z.string()),
  }),
  modes: z.array(z.object({ hz: figure, mostly: z.array(z.string()).min(1) })),
  spare: z.array(room.extend({ at: z.string(), holding: room, moving: room.nullable() })),
  most: figure,
  rests_on: z.array(
    z.strictObject({
      figure: z.string(),
      from: z.string(),
      within_percent: z.number(),
      taken: z.boolean(),
      use_then: figure,
    }),
  ),
  unweighed: z.array(z.string()),
  left_out: z.array(z.string()),
  assumed: z.array(z.string()),
  model: z.array(z.string()),
});

async function json(code: number, ...argv: string[]): Promise<z.infer<typeof answer>> {
  const ran = await run(['load', ...argv, '--json']);
  expect(ran.code, ran.err).toBe(code);
  return answer.parse(JSON.parse(ran.out));
}

describe('load --json', () => {
  it('holds: every joint, supply, modes, spare weight, what it rests on and leaves out', async () => {
    const found = await json(0, owl);
    expect(found.joints.map(({ name }) => name)).toEqual([
      'leg1',
      'leg2',
      'leg3',
      'leg4',
      'leg5',
      'leg6',
      'nod',
      'lid',
    ]);
    expect(found).toMatchObject({ ok: true, stream: null, troubles: [] });
    expect(found.joints[0]).toMatchObject({ peak_nm: null, use: null, at_s: null });
    expect(found.modes.length).toBe(8);
    expect(found.left_out.join()).toContain('the mass of frame is unknown');
    expect(found.rests_on.length).toBeGreaterThan(2);
  });

  it('moves: peak, speed, share and when', async () => {
    const { joints, seconds, ok } = await json(0, tilt, '--stream', calm);
    expect([seconds, ok]).toEqual([2, true]);
    expect(joints[0]).toMatchObject({ name: 'nod', impossible: null });
    expect(joints[0]!.use).toBeGreaterThan(joints[0]!.hold_use! * 0.9);
    expect(joints[0]!.use_over_time).toHaveLength(200);
  });

  it('exits 1 for a jump that no servo follows', async () => {
    const { ok, troubles } = await json(1, tilt, '--stream', wild);
    expect(ok).toBe(false);
    expect(troubles[0]!.joint).toBe('nod');
  });

  it('gives newtons and mm for actuators', async () => {
    const { joints } = await json(0, lift);
    expect(joints[0]).toHaveProperty('hold_n');
    expect(joints[0]).toHaveProperty('fastest_mm_s', 40);
  });

  it('takes a pose, and parts to leave out', async () => {
    const home = await json(0, owl);
    const bare = await json(0, owl, '--without', 'shell', '--without', 'beak', '--pose', '0,0,2,0,0,0');
    expect(bare.without).toEqual(['shell', 'beak']);
    expect(bare.at).toMatchObject({ z_mm: 2 });
    expect(Math.abs(bare.joints[0]!.hold_use!)).toBeLessThan(home.joints[0]!.hold_use!);
  });
});

describe('load in words', () => {
  it.each([
    [
      'the owl, whose frame nobody has weighed',
      0,
      [owl],
      ['Can it carry it?', 'unknown: ', 'the mass of frame is unknown', 'spare weight', 'measure first', 'unknown'],
    ],
    [
      'a tilt along a stream',
      0,
      [tilt, '--stream', calm],
      [
        'yes: along',
        'works hardest',
        'average use',
        'of 120 deg/s',
        'hardest found',
        'largest use',
        ' kgf·cm)',
        'sags at rest',
        'the hardest use, nod along',
      ],
    ],
    ['a jump', 1, [tilt, '--stream', wild], ['no: along', 'too fast', 'retime']],
    ['actuators', 0, [lift], [' N ', 'level on the ground', 'the plate']],
    ['a pose past its limits', 0, [lift, '--pose', '0,0,25,0,0,0'], ['holding at z 25 mm', 'cannot move to this pose']],
  ])('%s', async (_, code, argv, words) => {
    const ran = await run(['load', ...argv]);
    expect(ran.code, ran.err).toBe(code);
    for (const text of words) expect(ran.out).toContain(text);
    expect(ran.out).not.toMatch(/NaN|undefined|null|Infinity|left out.*left out/);
    for (const line of ran.out.split('\n')) expect(line.length).toBeLessThanOrEqual(115);
  });
});

it('a joint of unknown load whose servo alone is asked for too much: table, troubles and words agree', async () => {
  const bare = TILT.replace(/, load: \{ mass_kg: 0.05.*?\}/, '').replace('2.0e-4', '2.0e-2');
  const flutter = stream(2, { nod_deg: () => 0, lid_deg: (t) => 27 - 20 * Math.cos(2 * Math.PI * 2.5 * t) });
  const args = [folder.put('bare-lid.yaml', bare), '--stream', folder.put('flutter.csv', flutter)];
  const { troubles } = await json(1, ...args);
  expect(troubles).toContainEqual({ cause: 'torque', joint: 'lid' });
  const { out } = await run(['load', ...args]);
  expect(out).toMatch(/^lid .* at least \d+ % .* at least [\d.]+ N·m /m);
  expect(out.replace(/\s+/g, ' ')).toMatch(/lid needs at least \d+ % .* for its servo’s own inertia alone/);
});

describe('the stiffness that swings rest on', () => {
  const LIDDED = BARE.replace(
    'accel_deg_s2: 4000 }\nmotion',
    'accel_deg_s2: 4000, load: { mass_kg: 0.012, arm_mm: 14, inertia_kgm2: 4.0e-6 } }\nmotion',
  );
  const lidded = folder.put('lidded.yaml', LIDDED);
  const measured = folder.put('measured.yaml', LIDDED.replace('stiffness_nm_rad: unknown', 'stiffness_nm_rad: 12'));

  it('is called assumed where it is', async () => {
    const { out } = await run(['load', lidded]);
    expect(out.replace(/\s+/g, ' ')).toContain('(for an assumed stiffness: see below)');
    expect(out.replace(/\s+/g, ' ')).toContain('servos (neck and face) that reach full torque at an error of 3 deg');
  });

  it('is not where only a lid’s is, which has no part in what is shown', async () => {
    const { out } = await run(['load', measured]);
    expect(out).toContain('swings at');
    expect(out).not.toContain('(for an assumed stiffness: see below)');
    expect(out.replace(/\s+/g, ' ')).toContain('servos (face) that reach full torque at an error of 3 deg');
  });

  it('is told in mm of what pushes, and nobody is told to measure it in N·m/rad', async () => {
    const { out } = await run(['load', lift]);
    expect(out.replace(/\s+/g, ' ')).toContain('servos (ram) that reach full force at an error of 1 mm (assumed)');
    expect(out).not.toMatch(/stiffness_nm_rad|error of 3 deg/);
  });
});

describe('load --report', () => {
  it('writes one page, says where, and never over a file unless told to', async () => {
    const report = folder.path('load.html');
    const first = await run(['load', tilt, '--stream', wild, '--report', report]);
    expect([first.code, first.out.includes(`${report} shows`)]).toEqual([1, true]);
    expect(readFileSync(report, 'utf8')).toMatch(/^<!doctype html>[^]*id="loads"[^]*id="time"[^]*id="modes"/);
    expect((await run(['load', tilt, '--report', report])).err).toMatch(/--force overwrites it/);
    expect((await run(['load', tilt, '--report', report, '--force'])).code).toBe(0);
    expect(readFileSync(report, 'utf8')).not.toContain('id="time"');
    for (const input of [tilt, calm])
      expect((await run(['load', tilt, '--stream', calm, '--report', input, '--force'])).err).toMatch(
        /one of the inputs/,
      );
  });

  it('leaves --json one document', async () => {
    await json(0, tilt, '--stream', calm, '--report', folder.path('too.html'));
  });
});

describe('load refuses with exit code 2, in words', () => {
  it.each([
    ['a part that is none', [owl, '--without', 'shall'], '--without', 'nearest: shell'],
    ['a pose of five numbers', [owl, '--pose', '0,0,0,0,0'], '--pose', 'six numbers'],
    ['a pose for joints only', [tilt, '--pose', '0,0,0,0,0,0'], '--pose', 'joints only'],
    ['a pose out of reach', [owl, '--pose', '0,0,300,0,0,0'], '--pose', 'do not reach'],
    ['two things from standard input', ['-', '--stream', '-'], '-', 'only one of'],
    ['a missing rig', [folder.path('none.yaml')], folder.path('none.yaml'), 'no such file'],
    ['a missing stream', [owl, '--stream', folder.path('none.csv')], folder.path('none.csv'), 'no such file'],
  ])('%s', async (_, argv, file, words) => {
    const ran = await run(['load', ...argv, '--json']);
    expect(ran.code).toBe(2);
    const { problems } = z
      .object({ problems: z.array(z.object({ file: z.string(), message: z.string() })) })
      .parse(JSON.parse(ran.out));
    expect(problems.map((problem) => problem.file)).toContain(file);
    expect(problems.map(({ message }) => message).join('\n')).toContain(words);
  });
});
