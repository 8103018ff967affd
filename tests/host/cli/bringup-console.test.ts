/** The bring-up's console at a pseudo-terminal, on the simulated controller: keys and lines as somebody types them. */
import { existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { basename, dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { build } from 'esbuild';
import { afterAll, afterEach, beforeAll, describe, expect, it } from 'vitest';
import { PERCH } from '../bringup/perch.ts';
import { needController, scratch } from './fixture.ts';
import { KEY, Terminal, hasTerminal } from './terminal.ts';

const root = fileURLToPath(new URL('../../..', import.meta.url));
const files = scratch();
let folder = '';
let bin = '';
let terminal: Terminal | null = null;
let rig = '';

beforeAll(async () => {
  needController();
  mkdirSync(join(root, 'build'), { recursive: true });
  folder = mkdtempSync(join(root, 'build/cli-test-'));
  bin = join(folder, 'posewright.mjs');
  const entryPoints = [join(root, 'host/cli/bin.ts')];
  await build({ entryPoints, outfile: bin, bundle: true, platform: 'node', format: 'esm', packages: 'external' });
});
afterEach(() => {
  terminal?.kill();
});
afterAll(() => {
  rmSync(folder, { recursive: true, force: true });
  files.remove();
});

const PROMPT = /> $/;

/** The console of a rig of its own, at its first prompt. */
async function console_(name: string, of = PERCH): Promise<Terminal> {
  rig = files.put(`${name}.yaml`, of);
  terminal = new Terminal([process.execPath, bin, 'bringup', rig, '--on', 'sim']);
  await terminal.shows(/rehearsal/);
  await terminal.shows(PROMPT);
  return terminal;
}

const text = (): string => readFileSync(rig, 'utf8');

describe.skipIf(!hasTerminal)('the console', () => {
  it('centres by what is typed, shows and writes it, keeps the old file, and ends settled on q', async () => {
    const at = await console_('centred');
    at.type(`centre leg1 --rods-off${KEY.enter}`);
    await at.shows(/Take the rods off leg1/);
    at.type(KEY.enter);
    // The rig is right by a degree: 1 deg off at 10 us/deg, and none once it is trimmed.
    for (const reading of ['1', '1', '0', '0']) {
      await at.shows(/approached from (below|above)/);
      await at.shows(PROMPT);
      at.type(`${reading}${KEY.enter}`);
    }
    await at.shows(/centre_us: 1490/);
    await at.shows(/Written; the old file is/);
    await at.shows(PROMPT);
    at.type(`q${KEY.enter}`);
    await at.shows(/The prop has settled/);
    expect(await at.end()).toBe(0);
    expect(text()).toMatch(/leg1: \{ pin: 2, centre_us: 1490/);
    expect(existsSync(rig)).toBe(true);
  });

  it(
    'hears Space in a walk: the limit is written short of where it was pressed, and the old file kept',
    { retry: 2 },
    async () => {
      const narrow = PERCH.replace('leg1: { pin: 2 }', 'leg1: { pin: 2, limit_deg: [-12, 20] }');
      const at = await console_('bound', narrow);
      at.type(`walk leg1${KEY.enter}`);
      await at.shows(/Place leg1 at its rest/);
      at.type(KEY.enter);
      // From its rest to 0, 5 deg out and back, and out once more: it is between 5 and 10 deg from 5.2 to 6.7 s on, and a second later still.
      await new Promise((resolve) => setTimeout(resolve, 6300));
      at.type(KEY.space);
      await at.shows(
        /leg1 is walked\. Plus: it binds, so its limit is now [\d.]+ deg\. Minus: it did not bind/,
        60_000,
      );
      const kept = (await at.shows(/Written; the old file is \S+\.yaml/)).replace(/.* /, '');
      at.type(`q${KEY.enter}`);
      expect(await at.end()).toBe(0);
      const [, lo, hi] = /leg1: \{ pin: 2, limit_deg: \[(\S+), (\S+)\]/.exec(text()) ?? [];
      expect(Number(lo)).toBe(-12);
      expect(Number(hi)).toBeGreaterThan(2);
      expect(Number(hi)).toBeLessThanOrEqual(7);
      expect(readFileSync(join(dirname(rig), basename(kept)), 'utf8')).toBe(narrow);
    },
  );

  it('settles on Escape in mid-walk and at a question, and nothing is written', async () => {
    const at = await console_('settled');
    at.type(`walk leg1${KEY.enter}`);
    await at.shows(/Place leg1 at its rest/);
    at.type(KEY.enter);
    await new Promise((resolve) => setTimeout(resolve, 1500));
    at.type(KEY.escape);
    await at.shows(/settled by you/);
    await at.shows(PROMPT);
    at.type(`centre leg2 --rods-off${KEY.enter}`);
    await at.shows(/Take the rods off leg2/);
    at.type(KEY.escape);
    await at.shows(/settled by you/);
    await at.shows(PROMPT);
    at.type(`q${KEY.enter}`);
    await at.shows(/The prop has settled/);
    expect(await at.end()).toBe(0);
    expect(text()).toBe(PERCH);
  });

  it('says what a verb that is none should have been, and goes on', async () => {
    const at = await console_('wrong');
    at.type(`waltz leg1${KEY.enter}`);
    await at.shows(/"waltz" is not a verb/);
    await at.shows(PROMPT);
    at.type(`q${KEY.enter}`);
    expect(await at.end()).toBe(0);
  });
});
