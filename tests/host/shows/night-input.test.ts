/** What a night file says before it is sent: read where it is whole, refused in words where it is not. */
import { describe, expect, it } from 'vitest';
import { readNight } from '../../../host/shows/night-file.ts';
import { run } from '../cli/fixture.ts';
import { FINGERPRINT, PAGE, nightOf } from './nights.ts';

describe('a night file', () => {
  it('names its rig and its shows', () => {
    const names = ['dusk', 'dawn', 'a name of exactly thirty-two byte'.slice(0, 32)];
    const night = readNight(nightOf({ names }));
    if (typeof night === 'string') throw new Error(night);
    expect([night.fingerprint, night.shows.map(({ name }) => name)]).toEqual([FINGERPRINT, names]);
  });

  it('is refused when it is another file, of another version, cut short, or changed', () => {
    expect(readNight(new Uint8Array(10))).toMatch(/no night/);
    expect(readNight(new TextEncoder().encode('t_s,x_mm\n'.repeat(40)))).toMatch(/no night/);
    const newer = nightOf();
    newer[4] = 2;
    expect(readNight(newer)).toMatch(/version 2/);
    const night = nightOf();
    expect(readNight(night.subarray(0, night.length - PAGE))).toMatch(/damaged/);
    for (const at of [7, 8, 13, 20, 28, 2 * PAGE, 6 * PAGE + 100]) {
      const changed = night.slice();
      changed[at]! ^= 1;
      expect(readNight(changed), String(at)).toMatch(/damaged/);
    }
  });
});

describe('shows', () => {
  it('send refuses a file that is no night, and a place that keeps none', async () => {
    const { code, err } = await run(['shows', 'send', 'package.json', '--on', 'usb']);
    expect([code, err]).toEqual([2, expect.stringMatching(/no night/)]);
    const sim = await run(['shows', 'list', '--on', 'sim']);
    expect([sim.code, sim.err]).toEqual([2, expect.stringMatching(/keeps no night/)]);
    const json = await run(['shows', 'remove', 'dusk', '--on', 'sim', '--json']);
    expect(JSON.parse(json.out)).toMatchObject({ ok: false });
  });
});
