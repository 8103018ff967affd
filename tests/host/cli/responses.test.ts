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
function rigWith(folder: string, text: string): { rig: string; stream: string } {
  mkdirSync(files.path(folder));
  files.put(join(folder, 'responses.ts'), text);
  return { rig: files.put(join(folder, 'owl.yaml'), OWL), stream: files.put(join(folder, 'gentle.csv'), GENTLE) };
}
const HEAD = "import { add } from './senses';\nimport { Value } from './named';\n";

it('replay plays with them: what they add comes out', async () => {
  const { rig, stream } = rigWith('adds', `${HEAD}export function respond(): void { add(Value.nod, 2.0); }`);
  const { code, out, err } = await run(['replay', rig, stream, '--json']);
  expect([code, err]).toEqual([1, '']);
  const { joints } = JSON.parse(out) as { joints: { name: string; peak_error_deg: number }[] };
  expect(joints.find(({ name }) => name === 'nod')?.peak_error_deg).toBeCloseTo(2, 2);
});

it('replay reports one that fails, in words', async () => {
  const text = `${HEAD}let n: i32 = 0;\nexport function respond(): void { n++; if (n > 900) unreachable(); add(Value.nod, 1.0); }`;
  const { rig, stream } = rigWith('fails', text);
  const { code, out, err } = await run(['replay', rig, stream]);
  expect(code).toBe(1);
  expect(out).toMatch(/the controller tripped: a response failed, first at \d/);
  expect(err).toMatch(/with .*responses\.ts: what it changes counts as away from the stream/);
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
  expect(err).toMatch(/responses\.ts.*it failed after 0 s: .*burnt more than 1000 of fuel in a tick/);
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
