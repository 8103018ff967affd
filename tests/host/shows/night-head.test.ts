/** What a night file says before it is sent: read where it is whole, refused in words where it is not. */
import { describe, expect, it } from 'vitest';
import { readNightHead } from '../../../host/shows/night-head.ts';
import { run } from '../cli/fixture.ts';
import { FINGERPRINT, PAGE, nightOf } from './nights.ts';

describe('the head of a night', () => {
  it('names its rig and its shows', () => {
    const names = ['dusk', 'dawn', 'a name of exactly thirty-two byte'.slice(0, 32)];
    expect(readNightHead(nightOf({ names }))).toEqual({ pages: 14, fingerprint: FINGERPRINT, names });
  });

  it('is refused when it is another file, of another version, cut short, or changed', () => {
    expect(readNightHead(new Uint8Array(10))).toMatch(/no night/);
    expect(readNightHead(new TextEncoder().encode('t_s,x_mm\n'.repeat(40)))).toMatch(/no night/);
    const newer = nightOf();
    newer[4] = 2;
    expect(readNightHead(newer)).toMatch(/version 2/);
    const night = nightOf();
    expect(readNightHead(night.subarray(0, night.length - PAGE))).toMatch(/not whole/);
    for (const at of [7, 8, 13, 20, 28, 2 * PAGE, 6 * PAGE + 100]) {
      const changed = night.slice();
      changed[at]! ^= 1;
      expect(readNightHead(changed), String(at)).toMatch(/not whole/);
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
