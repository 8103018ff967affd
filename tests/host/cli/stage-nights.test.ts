/** A night packed from the stage is the one that `shows pack` makes of the same files; what that refuses is refused, and nothing is lost. */
import { existsSync, readFileSync, readdirSync } from 'node:fs';
import { afterAll, beforeAll, expect, it } from 'vitest';
import type { Io } from '../../../host/cli/io.ts';
import { nightsOf } from '../../../host/cli/stage/nights.ts';
import { readRig } from '../../../host/rig/read.ts';
import type { MadeNight, NightAnswer } from '../../../host/stage/about.ts';
import { Folder } from '../../../host/stage/folder.ts';
import { nightOwl } from '../shows/rigs.ts';
import { FAR, GENTLE, JERKY, OWL, needController, run, scratch, stream } from './fixture.ts';

const folder = scratch();
afterAll(folder.remove);
beforeAll(needController, 60_000);
const owl = folder.put('owl.yaml', nightOwl());
const gentle = folder.put('gentle.csv', `# sound hoot.wav at 0.5\n${GENTLE}`);
const nod = folder.put('nod.csv', stream(12, { nod_deg: (t_s) => 3 - 3 * Math.cos(t_s) }));
folder.put('jerky.csv', JERKY);
folder.put('far.csv', FAR);
folder.put('typo.csv', 't_s,nod_deg\n0,0\n0.02,x\n');

const io: Io = {
  stdout: { write: () => true },
  stderr: { write: () => true },
  stdin: (async function* () {})(),
  env: {},
  now: () => performance.now(),
  onInterrupt: () => undefined,
};
let isBusy = false;
const packer = {
  rigPath: owl,
  rig: readRig(nightOwl()).rig!,
  folder: new Folder(folder.path('.')),
  on: null as string | null,
  isBusy: () => isBusy,
  io,
};
const night = (file: string, takes: readonly string[]): Promise<NightAnswer> => nightsOf(packer)(file, takes);
const both = ['gentle.csv', 'nod.csv'];
const bytes = (name: string): Buffer => readFileSync(folder.path(name));
async function refused(file: string, takes: readonly string[]): Promise<string> {
  const before = readdirSync(folder.path('.'));
  const answer = await night(file, takes);
  expect(readdirSync(folder.path('.'))).toEqual(before);
  return 'refused' in answer ? answer.refused.join('\n') : 'made';
}

it('has the bytes that the command line packs of the same files, and says what is in it and what comes next', async () => {
  const out = folder.path('by-hand.pwshow');
  expect((await run(['shows', 'pack', owl, gentle, nod, '-o', out])).code).toBe(0);
  const made = (await night('tonight.pwshow', both)) as MadeNight;
  expect(bytes('tonight.pwshow').equals(readFileSync(out))).toBe(true);
  expect(made).toMatchObject({ file: 'tonight.pwshow', bytes: bytes('tonight.pwshow').length });
  expect(made.warnings).toEqual([expect.stringMatching(/^owl\.yaml: not every joint has been walked/)]);
  expect(made.shows).toEqual([
    { name: 'gentle', seconds: 2 },
    { name: 'nod', seconds: 12 },
  ]);
  expect(made.next).toBe(`posewright shows send ${folder.path('tonight.pwshow')} --on usb`);
  const held = (await nightsOf({ ...packer, on: 'serial:/dev/ttyX' })('tonight.pwshow', both)) as MadeNight;
  expect(held.next).toMatch(/ --on serial:\/dev\/ttyX, once this stage has ended: it holds the board’s line$/);
});

it('keeps what was there under its name, its own of before too', async () => {
  folder.put('kept.pwshow', 'an older one');
  await night('kept.pwshow', both);
  expect(bytes('kept.before-1.pwshow').toString()).toBe('an older one');
  const first = bytes('kept.pwshow');
  // The same again changes nothing.
  await night('kept.pwshow', both);
  expect(existsSync(folder.path('kept.before-2.pwshow'))).toBe(false);
  await night('kept.pwshow', [...both].reverse());
  expect(bytes('kept.before-2.pwshow').equals(first)).toBe(true);
  expect(bytes('kept.pwshow').equals(first)).toBe(false);
});

it('is refused in the words of replay where a take is out of limits, with the line where it cannot be read', async () => {
  const words = await refused('bad.pwshow', [...both, 'jerky.csv', 'far.csv', 'typo.csv']);
  expect(words).toMatch(/^jerky\.csv: Will it be smooth\? no: nod is asked for more than its limits allow.* s\b/m);
  expect(words).toMatch(/^far\.csv: Can it get there\? no: .* s\b/m);
  expect(words).toMatch(/^typo\.csv, line 3, nod_deg: /m);
});

it('is refused without a show that would start by itself, for a name that is none, and for takes that are not there', async () => {
  expect(await refused('a.pwshow', ['gentle.csv'])).toMatch(/^owl\.yaml, night\.schedule\.1\.show: found nod/m);
  for (const name of ['../a.pwshow', 'a.csv', '.pwshow', 'a/b.pwshow'])
    expect(await refused(name, both), name).toMatch(/^this is no name for a night: /);
  expect(await refused('a.pwshow', ['../owl.csv', 'none.csv'])).toBe(
    'there is no take ../owl.csv in the rig’s folder\nthere is no take none.csv in the rig’s folder',
  );
});

it('is refused while the prop moves, and where the rig file is no longer the stage’s', async () => {
  isBusy = true;
  expect(await refused('a.pwshow', both)).toMatch(/^the board is awake/);
  isBusy = false;
  folder.put('owl.yaml', OWL);
  expect(await refused('a.pwshow', both)).toMatch(/^owl\.yaml has changed since the stage was started/);
  folder.put('owl.yaml', nightOwl());
});
