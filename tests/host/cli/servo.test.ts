import { readFileSync } from 'node:fs';
import { afterAll, describe, expect, it } from 'vitest';
import { LIFT, TILT } from '../load/rigs.ts';
import { run, scratch, stream } from './fixture.ts';

const folder = scratch();
afterAll(folder.remove);
const tilt = folder.put('tilt.yaml', TILT);
const heavy = folder.put('heavy.yaml', TILT.replace('mass_kg: 0.9', 'mass_kg: 4.8'));
const calm = folder.put('calm.csv', stream(2, { nod_deg: (t) => 3 - 3 * Math.cos(Math.PI * t) }));
const shop = folder.put(
  'shop.yaml',
  `servos:
  small: { price: 12, stall_torque_kgcm: 9, no_load_s_per_60deg: 0.14 }
  big: { price: 24.5, stall_torque_nm: 3.5, no_load_speed_deg_s: 400, continuous_use: 0.6 }
  press: { price: 30, force_n: 100, speed_mm_s: 40 }
  neck: { price: 18, stall_torque_nm: 1.5, no_load_speed_deg_s: 360 }
`,
);

const rams = folder.put('rams.yaml', 'servos:\n  press: { price: 30, force_n: 100, speed_mm_s: 40 }\n');

const json = async (code: number, ...argv: string[]) => {
  const ran = await run(['servo', ...argv, '--json']);
  expect(ran.code, ran.err).toBe(code);
  return JSON.parse(ran.out) as { ok: boolean; joints: Record<string, unknown>[] };
};

describe('servo --json', () => {
  it('names every class of the right drive for every joint, with its price', async () => {
    const { ok, joints } = await json(0, heavy, '--classes', shop, '--stream', calm);
    expect(ok).toBe(true);
    expect(joints.map(({ name }) => name)).toEqual(['nod', 'lid']);
    expect(joints[0]).toMatchObject({ now: 'neck', least: 'big', weighed: true });
    expect(joints[0]!['classes']).toMatchObject([
      { class: 'neck', price: 18, enough: false, short_of: 'heat' },
      { class: 'small', price: 12, enough: false },
      { class: 'big', price: 24.5, enough: true, short_of: null },
    ]);
    expect(joints[0]!['needs_nm']).toBeGreaterThan(1.5);
    const or = joints[0]!['or'] as { kind: string; class: string; heat: number }[];
    expect(or.map(({ kind }) => kind).sort()).toEqual(['counterweight', 'gear', 'spring']);
    for (const { class: name, heat } of or) expect([name, heat <= 1 + 1e-9]).toEqual(['neck', true]);
  });

  it('exits 1 where no class would do', async () => {
    expect(await json(1, heavy)).toMatchObject({ ok: false, joints: [{ least: null }, { least: 'neck' }] });
  });

  it('legs share one class, in newtons for actuators', async () => {
    const { joints } = await json(0, folder.put('lift.yaml', LIFT), '--classes', rams);
    expect(joints).toHaveLength(1);
    expect(joints[0]).toMatchObject({ name: 'legs', least: 'ram', or: [] });
    expect(joints[0]!['joints']).toHaveLength(6);
    expect(joints[0]).toHaveProperty('needs_n');
  });

  it('takes the classes of the rig that no joint has yet', async () => {
    const more = TILT.replace(
      'parts:',
      '  strong: { stall_torque_nm: 4, no_load_speed_deg_s: 360, frame_hz: 50, centre_us: 1500, us_per_deg: 10, range_us: [600, 2400] }\nparts:',
    );
    const { joints } = await json(0, folder.put('more.yaml', more.replace('mass_kg: 0.9', 'mass_kg: 4.8')));
    expect(joints[0]).toMatchObject({ least: 'strong' });
  });
});

describe('servo in words', () => {
  it('answers in a few lines: what is short, what would do, and what else', async () => {
    const { code, out } = await run(['servo', heavy, '--classes', shop, '--stream', calm]);
    expect(code).toBe(0);
    const words = out.replace(/\s+/g, ' ');
    expect(words).toContain('nod neck would get hot: 116 % of what it may give for long. Would do: big (price 24.5)');
    expect(words).toMatch(
      /or neck \(price 18\) with a gear of 3\.\d:1 instead of 3:1 .* a torsion spring of 0\.\d+ N·m\/deg about the axis, free at -?\d+ deg .* or a compact counterweight of 0\.\d+ kg at 100 mm from the axis, at_mm \[-100, 0, 0\] on the joint \(use \d+ %, heat 100 %, no margin\)/,
    );
    expect(words).toContain('lid neck (price 18) is enough');
    expect(out.split('\n').length).toBeLessThan(16);
    expect(out).not.toMatch(/NaN|undefined|null|Infinity/);
    for (const line of out.split('\n')) expect(line.length).toBeLessThanOrEqual(100);
  });

  it('has the counterweight at the arm that is asked for', async () => {
    const { out } = await run(['servo', heavy, '--classes', shop, '--arm-mm', '150']);
    expect(out.replace(/\s+/g, ' ')).toMatch(/kg at 150 mm from the axis, at_mm \[-150, 0, 0\] on the joint/);
  });

  it('where nothing does alone: what it takes, the nearest gear, and how much slower; seven lines', async () => {
    const { code, out } = await run(['servo', 'host/demo/night-owl.yaml', '--stream', 'host/demo/dusk.csv']);
    expect(code).toBe(1);
    const lines = out.split('\n').slice(2);
    const end = lines.findIndex((line) => line.startsWith('legs'));
    const words = lines.slice(0, end).join(' ').replace(/\s+/g, ' ');
    expect(end).toBeLessThanOrEqual(7);
    expect(words).toMatch(/it takes a stall torque of 7\.\d+ N·m/);
    expect(words).toMatch(
      /with neck as it is: no gear does it alone \(nearest: 1\.\d:1, use \d+ %\), nor a counterweight or spring/,
    );
    expect(words).toMatch(
      /or neck with the whole stream in 1\.\d+ times its time \(use \d+ %\): "posewright tune", then "retime", stretch only what needs it/,
    );
  });

  it('where no tempo is slow enough it says how slow was tried; of a stream that is too long to look at it says nothing', async () => {
    // With a rotor that stalls it at once, whatever its gear; still at the end, for as long as the file goes on.
    const stiff = folder.put('stiff.yaml', TILT.replace(/rotor_inertia_kgm2: \S+/, 'rotor_inertia_kgm2: 0.9'));
    const swing = stream(2, { nod_deg: (t) => 12 - 12 * Math.cos(2 * Math.PI * t) });
    const said = async (csv: string): Promise<string> =>
      (await run(['servo', stiff, '--stream', folder.put('swing.csv', csv)])).out.replace(/\s+/g, ' ');
    const short = await said(swing);
    expect(short).toMatch(
      /nor a counterweight or spring; played slower, up to 4 times its time, neck would not do either/,
    );
    const last = swing.trim().split('\n').at(-1)!;
    const long = await said(`${swing.trim()}\n${last.replace(/^[^,]+/, '201')}\n`);
    expect(long).toMatch(/nor a counterweight or spring/);
    expect(long).not.toContain('played slower');
  });

  it('without a stream it is enough to hold, and says what that leaves out, with classes of a file too', async () => {
    const { out } = await run(['servo', tilt, '--classes', shop]);
    expect(out).toMatch(/neck \(price 18\) is enough to hold/);
    expect(out.replace(/\s+/g, ' ')).toMatch(/next "posewright servo \S+ --stream show\.csv" counts moving too/);
  });

  it('the next step names what was not asked for: a stream, and a file of classes; with a stream there is none', async () => {
    const next = async (...more: readonly string[]): Promise<string | undefined> =>
      /^next .*/m.exec((await run(['servo', tilt, ...more])).out.replace(/\n +/g, ' '))?.[0].replace(/\s+/g, ' ');
    const asked = `"posewright servo ${tilt} --stream show.csv`;
    expect(await next()).toBe(`next ${asked} --classes shop.yaml" counts moving too, and other servos`);
    expect(await next('--classes', shop)).toBe(`next ${asked}" counts moving too`);
    expect(await next('--stream', calm)).toBeUndefined();
    expect(await next('--stream', calm, '--classes', shop)).toBeUndefined();
  });

  it('a class of the other kind: which, and why it fits no joint', async () => {
    const turning = folder.put('turning.yaml', 'servos:\n  s: { stall_torque_nm: 1, no_load_speed_deg_s: 300 }\n');
    const lift = folder.put('lift2.yaml', LIFT);
    for (const [rig, classes, words] of [
      [tilt, rams, 'fits none press is linear (force_n), and every joint of this rig has a servo that turns'],
      [
        lift,
        turning,
        'fits none s is for joints that turn (stall_torque_nm), and every joint of this rig is driven by a linear servo',
      ],
    ] as const) {
      const { out } = await run(['servo', rig, '--classes', classes]);
      expect(out.replace(/\s+/g, ' ')).toContain(words);
    }
    expect(await json(0, tilt, '--classes', rams)).toMatchObject({ fits_none: ['press'] });
    expect((await run(['servo', tilt])).out).not.toContain('fits none');
  });

  it('--all is a table of every class', async () => {
    const { out } = await run(['servo', tilt, '--classes', shop, '--all']);
    expect(out).toMatch(/^joint +class +price +stall +use +heat +margin +enough$/m);
    expect(out).toMatch(/^nod +neck \(now\) +18 +1\.50 N·m .* yes$/m);
    expect(out).not.toMatch(/^.{0,6} +press /m);
  });

  it('says what is not known', async () => {
    const bare = folder.put('bare.yaml', TILT.replace('stall_torque_nm: 1.5', 'stall_torque_nm: unknown'));
    const { code, out } = await run(['servo', bare]);
    expect(code).toBe(0);
    expect(out).toContain('unknown: a figure of neck is missing in the rig file');
  });
});

describe('servo refuses with exit code 2, in words', () => {
  const shopOf = (text: string): string => folder.put('odd.yaml', text);
  it.each([
    [
      'a price below 0',
      'servos:\n  a: { price: -3, stall_torque_nm: 1, no_load_speed_deg_s: 300 }\n',
      ':2 ',
      'a price, in whatever money all prices are in, from 0',
    ],
    [
      'two torques',
      'servos:\n  a: { stall_torque_nm: 1, stall_torque_kgcm: 10, no_load_speed_deg_s: 300 }\n',
      ':2 ',
      'allowed: one of them',
    ],
    [
      'an unknown key',
      'servos:\n  a:\n    stall_torque_nm: 1\n    no_load_speed_deg_s: 300\n    prize: 12\n',
      ':5 ',
      'nearest known key is price',
    ],
    ['no classes', 'servos: {}\n', ':1 ', 'at least one servo class'],
    ['nothing', '', '', 'a file of servo classes begins with servos:'],
    [
      'the rig’s name with other figures',
      'servos:\n  neck: { stall_torque_nm: 9, no_load_speed_deg_s: 360 }\n',
      '',
      'other figures (stall torque 1.5, here 9); allowed: another name',
    ],
  ])('%s', async (_, text, line, words) => {
    const { code, out, err } = await run(['servo', tilt, '--classes', shopOf(text)]);
    expect([code, out]).toEqual([2, '']);
    expect(err).toContain(line);
    expect(err.replace(/\s+/g, ' ')).toContain(words);
  });

  it.each([
    ['an arm that is none', [tilt, '--arm-mm', 'long'], 'allowed: a length in mm'],
    ['a file that is not there', [tilt, '--classes', 'none.yaml'], 'none.yaml'],
    ['two files from standard input', ['-', '--stream', '-'], 'only one of'],
  ])('%s', async (_, argv, words) => {
    const { code, err } = await run(['servo', ...argv]);
    expect(code).toBe(2);
    expect(err).toContain(words);
  });

  it('a rig file or a want file gives its classes', async () => {
    const other = folder.put(
      'other.yaml',
      'want: x\nfrom: tilt.yaml\nservos:\n  b: { price: 3, stall_torque_nm: 2, no_load_speed_deg_s: 300 }\n',
    );
    const { code, out } = await run(['servo', tilt, '--classes', other, '--all']);
    expect(code).toBe(0);
    expect(out).toMatch(/^ +b +3 /m);
    expect(readFileSync(other, 'utf8')).toContain('want');
  });
});

it('a want file’s own keys and classes by their price alone are understood', async () => {
  const classes = folder.put(
    'want.yaml',
    `want: nod
servos:
  big: { price: 24.5, legs: false, body_mm: [20, 40, 38], stall_torque_nm: 3.5, no_load_speed_deg_s: 400 }
  neck: { price: 18 }
`,
  );
  const { joints } = await json(0, heavy, '--classes', classes, '--stream', calm);
  expect(joints[0]!['classes']).toMatchObject([
    { class: 'neck', price: 18 },
    { class: 'big', price: 24.5 },
  ]);
  const unknown = await run(['servo', heavy, '--classes', folder.put('odd.yaml', 'servos: { huge: { price: 3 } }\n')]);
  expect(unknown).toMatchObject({
    code: 2,
    err: expect.stringMatching(/servos\.huge +one of stall_torque_nm/) as string,
  });
});
