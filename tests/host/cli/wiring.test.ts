import { existsSync, readFileSync } from 'node:fs';
import { afterAll, describe, expect, it } from 'vitest';
import { run, scratch } from './fixture.ts';

const folder = scratch();
afterAll(folder.remove);
const OWL = readFileSync('host/demo/night-owl.yaml', 'utf8');
const owl = folder.put('owl.yaml', OWL);

describe('wiring', () => {
  it('says cables, and how to go on', async () => {
    const { code, out } = await run(['wiring', owl]);
    expect(code).toBe(0);
    expect(out).toMatch(/W10 +ears +GPIO 11 +face +0\.80 A +0\.64 A +1 A/);
    expect(out).toContain('--report wiring.html');
  });

  it('answers as one document, with a page beside', async () => {
    const page = folder.path('wiring.html');
    const { code, out } = await run(['wiring', owl, '--json', '--report', page]);
    expect(code).toBe(0);
    expect(JSON.parse(out)).toMatchObject({ ok: true, board: 'pico', trunk: { fuse_a: 15, mm2: 6 } });
    expect(readFileSync(page, 'utf8')).toContain('<svg class="wiring"');
    expect((await run(['wiring', owl, '--report', page])).err).toContain('--force');
  });

  it('ends with 1 when something does not fit or is unknown', async () => {
    expect((await run(['wiring', owl, '--trunk', '3'])).code).toBe(1);
    const dark = folder.put('dark.yaml', OWL.replaceAll(/^ +stall_current_a.*\n/gm, ''));
    const { code, out } = await run(['wiring', dark]);
    expect(code).toBe(1);
    expect(out).toMatch(/unknown +Without stall_current_a of neck and face/);
  });

  it.each([
    ['no length', ['--trunk', ''], /--trunk/],
    ['a length of nothing', ['--branch', '0'], /--branch.*above 0/],
    ['a negative length', ['--branch=-1'], /--branch.*above 0/],
    ['a word for a length', ['--trunk', 'long'], /--trunk/],
    ['a length beyond all sense', ['--trunk', '1e9'], /up to 100 m/],
  ])('refuses %s, and writes nothing', async (_, options, words) => {
    const page = folder.path('none.html');
    const { code, out, err } = await run(['wiring', owl, ...options, '--report', page]);
    expect([code, out]).toEqual([2, '']);
    expect(err).toMatch(words);
    expect(existsSync(page)).toBe(false);
  });

  it('refuses a rig that cannot be wired, with the key that says so', async () => {
    const bare = folder.put('bare.yaml', OWL.replace(/^(supply|board):.*\n/gm, ''));
    const { code, err } = await run(['wiring', bare]);
    expect(code).toBe(2);
    expect(err).toMatch(/board +is missing/);
    expect(err).toMatch(/supply +is missing/);
    const native = folder.put('native.yaml', OWL.replace('kind: pico', 'kind: native'));
    expect((await run(['wiring', native])).err).toContain('a program without pins');
  });
});
