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
    // What fills the last page, and no checksum covers.
    const filled = night.slice();
    expect(filled.at(-1)).toBe(0xff);
    filled[filled.length - 1] = 0;
    expect(readNight(filled)).toMatch(/damaged/);
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
    const json = await run(['shows', 'remove', 'dusk', '--on', 'sim', '--json']);
    expect(JSON.parse(json.out)).toMatchObject({ ok: false });
  });

  it.each(['sim', 'native', 'emulated:pico', 'emulated:f405'])(
    'list, stop, remove and log say at once that %s remembers nothing, and what plays a show there',
    async (on) => {
      const plays = on === 'emulated:f405' ? 'sim' : on;
      for (const argv of [['shows', 'list'], ['shows', 'stop'], ['shows', 'remove', 'dusk'], ['log']]) {
        const { code, out, err } = await run([...argv, '--on', on]);
        expect([code, out]).toEqual([2, '']);
        expect(err).toContain(`"${on}" keeps no night, rig or log once a command has ended`);
        expect(err).toContain(`"posewright shows run SHOW --on ${plays} --night NIGHT.pwshow --rig RIG" plays a show`);
      }
    },
  );

  it.each([['shows', 'list'], ['shows', 'stop'], ['shows', 'remove'], ['shows', 'send'], ['log']])(
    'the help of %s %s names only places that work there',
    async (...argv) => {
      const { out } = await run([...argv, '--help']);
      expect(out.replaceAll(/\s+/g, ' ')).toMatch(/such as usb; one of usb, usb:SERIAL, serial:PATH [-\w]/);
    },
  );
});
