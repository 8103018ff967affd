/** Commands on a rig whose folder holds responses.ts: they run its own controller, or say what is wrong with it. */
import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { GENTLE, OWL, needController, run, scratch } from './fixture.ts';

const files = scratch();
beforeAll(needController);
afterAll(() => {
  files.remove();
});

/** A rig with responses of this text in a folder of its own, and a stream. */
function rigWith(folder: string, text: string): { rig: string; stream: string; text: string } {
  mkdirSync(files.path(folder));
  files.put(join(folder, 'responses.ts'), text);
  return { rig: files.put(join(folder, 'owl.yaml'), OWL), stream: files.put(join(folder, 'gentle.csv'), GENTLE), text };
}
const HEAD = "import { add } from './senses';\nimport { Value } from './named';\n";

it('replay measures against what they ask, and says how far that is from the stream', async () => {
  const { rig, stream } = rigWith('adds', `${HEAD}export function respond(): void { add(Value.nod, 2.0); }`);
  const { code, out, err } = await run(['replay', rig, stream, '--json']);
  expect([code, err]).toEqual([0, '']);
  const { joints, responses } = JSON.parse(out) as {
    joints: { name: string; max_deg: number; peak_error_deg: number }[];
    responses: { column: string; moved: number }[];
  };
  const nod = joints.find(({ name }) => name === 'nod')!;
  expect(nod.peak_error_deg).toBeLessThan(0.01);
  expect(nod.max_deg).toBeCloseTo(2, 2);
  expect(responses).toEqual([
    { column: 'nod_deg', moved: expect.closeTo(2, 4) as number, at_s: expect.closeTo(0, 1) as number },
  ]);
  const said = (await run(['replay', rig, stream])).out.replaceAll(/\s+/g, ' ');
  expect(said).toMatch(/responses move what is asked: nod by up to 2\.00 deg, at 0\.0\d s/);
});

it('replay says that a joint does not follow what they ask of it, and when nothing is moved', async () => {
  // 10 deg to and fro, eight times a second: faster than the nod can.
  const wild = `import { add, seconds, sine } from './senses';\nimport { Value } from './named';
export function respond(): void { add(Value.nod, sine(seconds() * 8.0) * 10.0); add(Value.z, sine(seconds()) * 2.0); }`;
  const { rig, stream } = rigWith('wild', wild);
  const { code, out } = await run(['replay', rig, stream, '--json']);
  const { joints, responses, path } = JSON.parse(out) as {
    joints: { name: string; peak_error_deg: number }[];
    responses: { column: string; moved: number }[];
    path: { peak_mm: number };
  };
  expect(code).toBe(1);
  expect(joints.find(({ name }) => name === 'nod')!.peak_error_deg).toBeGreaterThan(2);
  // The plate follows: in time, too.
  expect(path.peak_mm).toBeLessThan(0.05);
  expect(responses.map(({ column, moved }) => [column, Math.round(moved * 10) / 10])).toEqual([
    ['nod_deg', 10],
    ['z_mm', 2],
  ]);
  const still = rigWith('still', `${HEAD}export function respond(): void {}`);
  const quiet = await run(['replay', still.rig, still.stream]);
  expect([quiet.code, quiet.out.replaceAll(/\s+/g, ' ')]).toEqual([
    0,
    expect.stringContaining('change nothing that is asked here'),
  ]);
});

it('replay reports one that fails, in words', async () => {
  const text = `${HEAD}let n: i32 = 0;\nexport function respond(): void { n++; if (n > 600) unreachable(); add(Value.nod, 1.0); }`;
  const { rig, stream } = rigWith('fails', text);
  const { code, out, err } = await run(['replay', rig, stream]);
  expect(code).toBe(1);
  const said = out.replaceAll(/\s+/g, ' ');
  expect(said).toMatch(/A response failed before the stream, \d+\.\d\d s after power-up: it trapped \(unreachable\(\)/);
  expect(said).toMatch(/responses failed before the stream, .* and are switched off from there on/);
  expect(said).not.toMatch(/settles[^.]* at 0\.00 s|settles \(at|change nothing/);
  expect(err).toMatch(/with .*responses\.ts: the motion is measured against what it makes of the stream/);
});

it.each([
  ['never ends', 'while (true) {}', /needs more than the 1000 of fuel/],
  ['adds for too long', 'for (let i = 0; i < 5000; i++) add(Value.nod, 0.001);', /needs more than the 1000 of fuel/],
  ['traps', 'unreachable();', /it trapped \(unreachable\(\), or/],
])('replay names one that %s on the tick that it is asked first', async (what, text, cause) => {
  const { rig, stream } = rigWith(what, `${HEAD}export function respond(): void { ${text} }`);
  const { code, out } = await run(['replay', rig, stream]);
  const said = out.replaceAll(/\s+/g, ' ');
  expect(code).toBe(1);
  expect(said).toMatch(/A response failed before the stream, .* are switched off, and the prop settles\./);
  expect(said).toMatch(cause);
  expect(said).not.toMatch(/change nothing|never played/);
});

it('replay says when one fails while the stream plays', async () => {
  const text = `${HEAD}import { asked } from './senses';\nexport function respond(): void { add(Value.z, 1.0); if (asked(Value.nod) > 5.0) unreachable(); }`;
  const { rig } = rigWith('midway', text);
  const stream = files.put('midway/up.csv', `t_s,nod_deg\n${nodUp()}`);
  const { out } = await run(['replay', rig, stream, '--json']);
  const said = (await run(['replay', rig, stream])).out.replaceAll(/\s+/g, ' ');
  expect(said).toMatch(
    /A response failed: it trapped .*, and the prop settles \((at \d\.\d\d s)\)\. .* responses failed \1, and are/,
  );
  const { response_faults } = JSON.parse(out) as { response_faults: { failed: { cause: string; at_s: number } } };
  expect(response_faults.failed.cause).toBe('trap');
  // 5 deg/s from the beginning on.
  expect(response_faults.failed.at_s).toBeCloseTo(1, 1);
});
/** From 0 to 10 deg in 2 s, evenly. */
const nodUp = (): string => Array.from({ length: 101 }, (_, n) => `${String(n / 50)},${String(n / 10)}\n`).join('');

it('replay and build say what is no number, and what is too far', { timeout: 300_000 }, async () => {
  const odd = `${HEAD}let zero: f32 = 0;\nexport function respond(): void { add(Value.nod, zero / zero); add(Value.yaw, 1.0e9); }`;
  const { rig, stream } = rigWith('odd', odd);
  const replayed = (await run(['replay', rig, stream])).out.replaceAll(/\s+/g, ' ');
  expect(replayed).toMatch(/ask for what is no number: dropped \d+ times, first before the stream, \d/);
  expect(replayed).toMatch(
    /yaw by up to \d{9,10}\.\d\d deg, at \d\.\d\d s \(further than any prop is moved: is that meant\?\)/,
  );
  expect(replayed).not.toMatch(/change nothing/);
  const built = await run(['build', rig, '--board', 'native']);
  const said = built.err.replaceAll(/\s+/g, ' ');
  expect(built.code).toBe(0);
  expect(said).toMatch(/responses\.ts warning: .*it asks for what is no number, which is dropped: \d+ times, first/);
  expect(said).toMatch(/warning.*it asks for yaw \d{9,10}(\.\d)? deg, after 0 s: further than any prop is moved/);
});

it.each(['replay', 'build', 'send', 'stage', 'flash'])(
  '%s refuses what cannot be compiled, with line and words',
  async (command) => {
    const text = `${HEAD}export function respond(): void {\n  let x: f64 = 1;\n}`;
    const { rig, stream } = rigWith(`refused-${command}`, text);
    const more: Readonly<Record<string, string[]>> = {
      replay: [rig, stream],
      build: [rig, '--board', 'native'],
      send: [rig, '--on', 'native'],
      stage: [rig, '--no-open'],
      flash: [rig, '--board', 'pico', '--to', files.path('nowhere')],
    };
    const { code, out, err } = await run([command, ...more[command]!]);
    expect([code, out]).toEqual([2, '']);
    expect(err).toMatch(/responses\.ts:4.*found f64, which computes in doubles/);
  },
);

it('build refuses what fails in simulation, and what burns too much', async () => {
  const loop = 'export function respond(): void { for (let i = 0; i < 5000; i++) add(Value.nod, 0.001); }';
  const { rig } = rigWith('burns', HEAD + loop);
  const { code, err } = await run(['build', rig, '--board', 'native']);
  expect(code).toBe(2);
  expect(err).toMatch(
    /responses\.ts.*it failed after 0 s: it needs more than the 1000 of fuel that a tick at \d+ a second has/,
  );
  expect(err).not.toMatch(/trapped/);
  const traps = rigWith('traps-built', `${HEAD}export function respond(): void { unreachable(); }`);
  const other = await run(['build', traps.rig, '--board', 'native']);
  expect([other.code, other.err]).toEqual([
    2,
    expect.stringMatching(/it failed after 0 s: it trapped \(unreachable\(\)/),
  ]);
  expect(other.err).not.toMatch(/fuel/);
});

it('replay refuses inputs that the rig does not have, and inputs of a board', async () => {
  const { rig, stream } = rigWith('inputs', `${HEAD}export function respond(): void {}`);
  const inputs = files.put('inputs.csv', 't_s,door\n0,1\n');
  const one = await run(['replay', rig, stream, '--inputs', inputs]);
  expect([one.code, one.err]).toEqual([2, expect.stringMatching(/found door, which is no input of this rig/)]);
  const other = await run(['replay', rig, stream, '--inputs', inputs, '--on', 'native']);
  expect([other.code, other.err]).toEqual([
    2,
    expect.stringMatching(/in simulation, since a board has inputs of its own/),
  ]);
});

it(
  'shows pack and run --without replay with them, and refuse what they drive out of limits',
  { timeout: 120_000 },
  async () => {
    const night = (rig: string): string => `${rig}.pwshow`;
    const pack = (rig: string, stream: string): ReturnType<typeof run> =>
      run(['shows', 'pack', rig, stream, '-o', night(rig)]);
    const wild = rigWith(
      'packed-wild',
      `import { add, seconds, sine } from './senses';\nimport { Value } from './named';
export function respond(): void { add(Value.nod, sine(seconds() * 8.0) * 10.0); }`,
    );
    const said = await pack(wild.rig, wild.stream);
    expect([said.code, said.err.replaceAll(/\s+/g, ' ')]).toEqual([2, expect.stringMatching(/nod is asked for more/)]);
    const calm = rigWith('packed-calm', `${HEAD}export function respond(): void { add(Value.nod, 2.0); }`);
    expect((await pack(calm.rig, calm.stream)).code).toBe(0);
    // The same night, and by now responses that are none for it.
    files.put('packed-calm/responses.ts', wild.text);
    const without = await run([
      'shows',
      'run',
      'gentle',
      '--on',
      'sim',
      '--without',
      'lid',
      '--night',
      night(calm.rig),
      '--rig',
      calm.rig,
    ]);
    expect([without.code, without.err.replaceAll(/\s+/g, ' ')]).toEqual([
      2,
      expect.stringMatching(/without them gentle is out of limits\. .*nod is asked for more/),
    ]);
  },
);
