/** The demo's night: the owl of the story with the limits that tune finds, two shows that pack, and README's commands for them. */
import { readFileSync } from 'node:fs';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { needController, run, scratch } from '../cli/fixture.ts';

const NIGHT = 'host/demo/night/';
const files = scratch();
beforeAll(needController, 60_000);
afterAll(files.remove);

/** Lines without their comments. */
const lines = (path: string): string[] =>
  readFileSync(path, 'utf8')
    .split('\n')
    .map((line) => line.replace(/\s*#.*/, ''))
    .filter((line) => line !== '');

it('its rig is the demo owl but for the limits of its nod, its audience, and the night', () => {
  const [plain, night] = [lines('host/demo/night-owl.yaml'), lines(`${NIGHT}night-owl.yaml`)];
  const end = night.indexOf('night:');
  expect(night.slice(0, end).filter((line) => !plain.includes(line))).toEqual([
    '    speed_deg_s: 76.5',
    '    accel_deg_s2: { plus: 745, minus: 804 }',
    '    accel_gone_at_deg_s: { plus: 67 }',
    'audience: behind_barrier',
  ]);
  expect(plain.filter((line) => !night.includes(line))).toEqual([
    '    speed_deg_s: 90',
    '    accel_deg_s2: { plus: 1500, minus: 1500 }',
    'audience: bench',
  ]);
});

it('both shows answer all four questions with yes', async () => {
  for (const show of ['dusk', 'startle']) {
    const { code, out } = await run(['why', `${NIGHT}night-owl.yaml`, `${NIGHT}${show}.csv`]);
    expect([code, out.match(/\? +yes:/g)?.length]).toEqual([0, 4]);
  }
});

it('README’s commands for it that need no board do what it says', async () => {
  const section = /## The night[^]*?\n## /.exec(readFileSync('README.md', 'utf8'))?.[0] ?? '';
  const commands = [...section.matchAll(/^ {4}posewright (.*?)(?: {2,}#.*)?$/gm)].map(([, words = '']) => words.trim());
  expect(commands.map((words) => words.split(' ').slice(0, 2).join(' '))).toEqual([
    'shows pack',
    'shows run',
    'send night-owl.yaml',
    'shows send',
    'card night-owl.yaml',
    'shows run',
    'log --on',
  ]);
  for (const words of commands.filter((one) => !one.includes('--on usb'))) {
    const argv = words
      .split(' ')
      .map((word) =>
        /^(night\.pwshow|card\.pdf|log\.html)$/.test(word)
          ? files.path(word)
          : /\.(yaml|csv)$/.test(word)
            ? NIGHT + word
            : word,
      );
    const { code, err } = await run(argv);
    expect(code, `${words}\n${err}`).toBe(0);
  }
});

it('README’s table of the light has every code', async () => {
  const { LIGHT_CODES, codeName } = await import('../../../host/shows/light-words.ts');
  const table = /\| light \|[^]*?\n\n/.exec(readFileSync('README.md', 'utf8'))?.[0] ?? '';
  expect(table.match(/\d-\d/g)?.sort()).toEqual(LIGHT_CODES.map(codeName).sort());
});
