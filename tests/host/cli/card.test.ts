/** The night card: every code, every joint's pulses as the rig has them, one sheet of A5, and words for what cannot be written. */
import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { readRig } from '../../../host/rig/read.ts';
import { cardSheet } from '../../../host/report/drawing/card-sheet.ts';
import { cardOf } from '../../../host/shows/card.ts';
import { LIGHT_CODES, codeName } from '../../../host/shows/light-words.ts';
import { BLINKS, blinkPath } from '../../../host/report/draw/blinks.ts';
import { jointsOnly } from '../../assembly/night/watching.ts';
import { OWL, run, scratch } from './fixture.ts';

const NIGHT = 'night:\n  light_pin: 18\n  warn_pin: 21\n  button_pin: 19\n';
const BOARD = 'board: { kind: pico, stop: { pin: 20, category: 1 } }\n';
const SUPPLY = 'supply: { kind: battery, cells: 2, voltage_v: 7.4, current_a: 20, low_v: 6.4, fuse_a: 15 }\n';

const files = scratch();
afterAll(() => {
  files.remove();
});
const owl = files.put('owl.yaml', OWL + SUPPLY + BOARD + NIGHT);
const to = (name: string): string => join(owl, '..', name);

describe('the codes', () => {
  it('are numbered by what is done next, each once, and few enough blinks to count', () => {
    const names = LIGHT_CODES.map(codeName);
    expect(new Set(names).size).toBe(names.length);
    for (const { code } of LIGHT_CODES) expect(code.every((digit) => digit >= 1 && digit <= 5)).toBe(true);
    const isDone = (first: number, does: RegExp): boolean =>
      LIGHT_CODES.filter(({ code }) => code[0] === first).every(({ then }) => does.test(then));
    expect(isDone(1, /Nothing to do/) && isDone(2, /[Ll]ook.*hold the button/) && isDone(3, /stop/)).toBe(true);
    expect(isDone(4, /supply.*hold the button/) && isDone(5, /Call the maker/)).toBe(true);
  });

  it('are drawn as so many pulses, a pause between, inside their picture', () => {
    for (const it of LIGHT_CODES) {
      const path = blinkPath(it);
      const [first = '', second = ''] = path.split('h18');
      const ups = (part: string): number => part.match(/v-14/g)?.length ?? 0;
      expect([ups(first), ups(second)]).toEqual(it.code);
      const across = [...path.matchAll(/h(\d+)/g)].reduce((sum, [, h]) => sum + Number(h), 1);
      expect(across).toBeLessThanOrEqual(BLINKS.width);
    }
  });
});

describe('card', () => {
  it('writes a page with every code, joint and pulse', async () => {
    const { code, out } = await run(['card', owl, '-o', to('c.html')]);
    expect([code, out.includes('c.html')]).toEqual([0, true]);
    const page = readFileSync(to('c.html'), 'utf8');
    for (const it of LIGHT_CODES) expect(page).toContain(`<b>${codeName(it)}</b>`);
    // lid: 1500 us at 0 deg, 10 us a degree, 0 to 55 deg; nod: geared 3, -28 to 25 deg, rest -20.
    expect(page).toMatch(/lid<\/td>[\s\S]*1500 to 2050/);
    expect(page).toMatch(/nod<\/td>[\s\S]*>900<[\s\S]*660 to 2250/);
    // On a phone every figure of a cable has its name before it: eight for each of eight joints.
    expect(page.match(/<td[^>]* data-head="[^"]+"/g)).toHaveLength(64);
    expect(page.match(/<td(?! class="us" data-head| data-head)/g)).toBeNull();
    expect(page).not.toMatch(/<script|https?:\/\/(?!www\.w3)/);
  });

  it('writes the same on one sheet of A5, as SVG and as PDF', async () => {
    expect((await run(['card', owl, '-o', to('c.svg')])).code).toBe(0);
    expect((await run(['card', owl, '-o', to('c.pdf')])).code).toBe(0);
    const svg = readFileSync(to('c.svg'), 'utf8');
    expect(svg).toContain('width="148mm" height="210mm"');
    for (const it of LIGHT_CODES) expect(svg).toContain(`>${codeName(it)}<`);
    const pdf = readFileSync(to('c.pdf'), 'latin1');
    expect(pdf.match(/\/Type \/Page\b/g)).toHaveLength(1);
    expect(pdf).toMatch(/\/MediaBox \[0 0 419\.5\d+ 595\.2\d+\]/);
  });

  it('leaves out what the rig has not: light, button, stop, a supply that is watched', async () => {
    const made = async (name: string, text: string): Promise<readonly [string, string]> => {
      const { code, out, err } = await run(['card', files.put(`${name}.yaml`, OWL + text), '-o', to(`${name}.html`)]);
      expect(code, err).toBe(0);
      await run(['card', to(`${name}.yaml`), '-o', to(`${name}.svg`)]);
      const page = readFileSync(to(`${name}.html`), 'utf8').replace(/<style>[^]*?<\/style>/, '');
      for (const words of [/<h2>The light/, /<h2>The button/])
        expect(words.test(page)).toBe(readFileSync(to(`${name}.svg`), 'utf8').includes(`>${words.source.slice(4)}<`));
      return [page, out];
    };
    const [bare, said] = await made('bare', '');
    expect(said).toMatch(/The rig file has no night: the card has no light and no button\./);
    expect(bare).not.toMatch(/the light|<h2>The light|button|<b>\d-\d<\/b>|stop input go/i);
    expect(bare).toMatch(/Everything here goes through software: nothing is a safety device/);
    const [mute, without] = await made('mute', `${BOARD}night: { light_pin: 18, warn_pin: 21 }\n`);
    expect(without).toMatch(/gives no button \(night\.button_pin\): the card has none/);
    expect(mute).not.toMatch(/[Hh]old the button|<h2>The button|<b>4-1/);
    expect(mute).toMatch(/<b>2-1<[^]*Then call the maker: this prop has no button/);
    expect(mute).toMatch(/This light and the stop input go through software/);
    expect(mute).toMatch(/<b>3-1</);
    expect((await made('whole', SUPPLY + BOARD + NIGHT))[1]).not.toMatch(/rig file/);
  });

  it('has nobody leave off what is on', () => {
    for (const { then } of LIGHT_CODES) expect(then).not.toMatch(/[Ll]eave it off/);
  });

  it('keeps sixteen joints on the sheet', () => {
    const rig = jointsOnly(16);
    const { text } = cardSheet(rig, cardOf(rig));
    const scale = Number(/scale\(([\d.]+)\)">/.exec(text)?.[1]);
    const ys = [...text.matchAll(/ y="([\d.]+)"/g)].map(([, y]) => Number(y) * scale);
    expect(Math.max(...ys)).toBeLessThan(210);
    expect(text).toContain('>joint15<');
  });

  it('says where the stop is, or that there is none', () => {
    const { rig } = readRig(OWL);
    expect(cardOf({ ...rig!, board: null }).stop.join(' ')).toContain('switch off at the supply');
    const board = { kind: 'pico', link: 'usb', baud: null, stop: { pin: 20, category: 0 }, power_pin: null } as const;
    expect(cardOf({ ...rig!, board }).stop.join(' ')).toMatch(/drops.*GPIO 20/);
    expect(cardOf({ ...rig!, board }).joints[0]).toMatchObject({ pin: 'GPIO 2', connector: 'edge pin 4', label: 'W1' });
  });

  it.each([
    ['another kind', ['-o', to('x.png')], /name a file that ends in \.html, \.pdf or \.svg/],
    ['a folder that is not there', ['-o', to('none/x.html')], /there is no folder/],
    ['a file that exists', ['-o', to('c.html')], /exists already/],
  ])('refuses %s in words', async (_, options, words) => {
    const { code, err } = await run(['card', owl, ...options]);
    expect(code).toBe(2);
    expect(err).toMatch(words);
    expect(existsSync(to('x.png'))).toBe(false);
  });

  it('is one document with --json', async () => {
    const { code, out } = await run(['card', owl, '-o', to('j.html'), '--json']);
    expect(code).toBe(0);
    expect(JSON.parse(out)).toMatchObject({ ok: true, file: to('j.html'), joints: { length: 8 } });
  });
});

describe('log', () => {
  it.each([
    ['a target that is none', ['--on', 'moon'], /"moon" is not a target/],
    ['no target', [], /required option '--on <target>'/],
    ['a report that exists', ['--on', 'usb', '--report', files.put('old.html', '')], /exists already/],
    ['a rig that is not there', ['--on', 'usb', '--rig', to('none.yaml')], /none\.yaml/],
  ])('refuses %s in words', async (_, options, words) => {
    const { code, out, err } = await run(['log', ...options]);
    expect([code, out]).toEqual([2, '']);
    expect(err).toMatch(words);
  });
});
