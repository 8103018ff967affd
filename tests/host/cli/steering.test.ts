/** Nothing that comes from outside steers a terminal or a page: names of files, columns, options. */
import { renameSync } from 'node:fs';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { escapeText } from '../../../host/report/draw/markup.ts';
import { OWL, needController, run, scratch } from './fixture.ts';

const STEERING = '\u001b[31m\u202e';

const STEERS = /[\u001b\u202e]/;
const files = scratch();
beforeAll(needController);
afterAll(() => {
  files.remove();
});

it('names of files and columns, in what every command says of them', async () => {
  const rig = `${files.put('rig.yaml', OWL)}${STEERING}`;
  const stream = `${files.put('s.csv', `# ${STEERING}\nt_s,yaw_deg\n0,0\n0.5,1\n`)}${STEERING}`;
  const odd = files.put('odd.csv', `t_s,yaw${STEERING}_deg\n0,${STEERING}\n`);
  renameSync(rig.slice(0, -STEERING.length), rig);
  renameSync(stream.slice(0, -STEERING.length), stream);
  for (const args of [
    ['check', rig],
    ['reach', rig],
    ['load', rig, '--stream', stream],
    ['replay', rig, stream],
    ['replay', rig, stream, '--json'],
    ['replay', rig, odd],
    ['check', rig, `--${STEERING}`],
    [`check${STEERING}`],
  ]) {
    const { out, err } = await run(args);
    expect(out + err, args.join(' ')).not.toBe('');
    expect(out + err, args.join(' ')).not.toMatch(STEERS);
  }
}, 60_000);

it('a stream of one frame is neither smooth nor not', async () => {
  const { out } = await run(['replay', files.put('owl.yaml', OWL), files.put('one.csv', 't_s,yaw_deg\n0,1\n')]);
  expect(out).toMatch(/smooth\?\s+nothing moves/);
}, 60_000);

it('in a page they become spaces', () => {
  expect(escapeText(`a${STEERING}<b`)).toBe('a [31m &lt;b');
});
