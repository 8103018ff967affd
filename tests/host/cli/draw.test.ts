import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { TILT } from '../load/rigs.ts';
import { OWL, run, scratch } from './fixture.ts';

const files = scratch();
afterAll(() => {
  files.remove();
});
const owl = files.put('owl.yaml', OWL);
const folder = join(owl, '..');
const to = (name: string): string => join(folder, name);

describe('draw', () => {
  it('writes the drawing and the sheets, and names them', async () => {
    const { code, out } = await run(['draw', owl, '-o', to('a.svg'), '--sheet', to('s.svg')]);
    expect(code).toBe(0);
    expect(out.replace(/\s+/g, ' ')).toContain('Print at 100 %');
    for (const name of ['a.svg', 's.svg', 's-2.svg', 's-3.svg']) {
      expect(out).toContain(name);
      expect(readFileSync(to(name), 'utf8')).toMatch(/^<svg xmlns/);
    }
  });

  it('lists the files as one JSON document', async () => {
    const { code, out } = await run(['draw', owl, '--sheet', to('j.svg'), '--json']);
    expect(code).toBe(0);
    const { ok, files: written } = JSON.parse(out);
    expect(ok).toBe(true);
    expect(written).toMatchObject([
      { path: to('j.svg'), kind: 'sheet', paper: 'A4', shows: ['base'] },
      { path: to('j-2.svg'), kind: 'sheet', paper: 'A4', shows: ['moving plate'] },
      { path: to('j-3.svg'), kind: 'sheet', paper: 'A4', shows: ['horn protractor'] },
    ]);
    for (const { path } of written) expect(existsSync(path)).toBe(true);
  });

  it.each([
    ['a drawing as PDF', ['-o', to('x.pdf')], /the drawing is SVG: name a file that ends in \.svg/],
    ['another kind', ['-o', to('x.png')], /the drawing is SVG/],
    ['another kind of sheet', ['--sheet', to('x.png')], /sheets are PDF, SVG or DXF/],
    ['an ending alone', ['--sheet', to('.pdf')], /this is an ending without a name: name a file, such as owl\.pdf/],
    ['one name for both', ['-o', to('x.svg'), '--sheet', to('x.svg')], /two of the files to write have this name/],
    ['a folder that is not there', ['-o', to('none/x.svg')], /there is no folder/],
    ['a drawing named as the second sheet', ['-o', to('y-2.svg'), '--sheet', to('y.svg')], /two of the files/],
  ])('refuses %s in words and writes nothing', async (_, options, words) => {
    const { code, out, err } = await run(['draw', owl, ...options]);
    expect([code, out]).toEqual([2, '']);
    expect(err).toMatch(words);
    for (const name of ['x.pdf', 'x.png', 'x.svg', 'y.svg', 'y-2.svg']) expect(existsSync(to(name))).toBe(false);
  });

  it('writes all sheets into one PDF', async () => {
    const { code, out } = await run(['draw', owl, '--sheet', to('all.pdf'), '--json']);
    expect(code).toBe(0);
    expect(JSON.parse(out).files).toEqual([
      {
        path: to('all.pdf'),
        kind: 'sheet',
        paper: '3 pages of A4',
        shows: ['base', 'moving plate', 'horn protractor'],
      },
    ]);
    const bytes = readFileSync(to('all.pdf'));
    expect(bytes.subarray(0, 5).toString()).toBe('%PDF-');
    expect(bytes.subarray(-6).toString()).toContain('%%EOF');
  });

  it('writes each plate as DXF to cut by, and refuses it where there is none', async () => {
    const { code, out } = await run(['draw', owl, '--sheet', to('cut.dxf')]);
    expect(code).toBe(0);
    expect(out.replace(/\s+/g, ' ')).toContain('true size, in mm: base');
    expect(out).not.toContain('Print at 100 %');
    for (const name of ['cut.dxf', 'cut-2.dxf']) expect(readFileSync(to(name), 'utf8')).toMatch(/EOF\r\n$/);
    expect(existsSync(to('cut-3.dxf'))).toBe(false);
    const bare = files.put('bare.yaml', TILT);
    const none = await run(['draw', bare, '--sheet', to('bare.dxf')]);
    expect([none.code, none.err.includes('there is no plate to cut')]).toEqual([2, true]);
  });

  it('says that servo bodies overlap, beside the sheets alone', async () => {
    const text = readFileSync(owl, 'utf8').replace(
      /^( *)crank_mm:/m,
      '$1clearance: { servo_body_mm: [60, 40, 38] }\n$1crank_mm:',
    );
    const wide = files.put('wide.yaml', text);
    const sheet = await run(['draw', wide, '--sheet', to('wide.dxf')]);
    expect(sheet.out).toMatch(/SERVO BODIES OVERLAP: leg1 and leg2 \(by [\d.]+ mm\)/);
    expect((await run(['draw', wide, '-o', to('wide.svg')])).out).not.toContain('OVERLAP');
    expect((await run(['draw', owl, '--sheet', to('slim.dxf')])).out).not.toContain('OVERLAP');
  });

  it('says so in JSON too: which legs, how far, and the sentences that are printed', async () => {
    // Half a pair's angle is 14 deg on a radius of 70 mm: two bodies' middles are 140·sin(14 deg) = 33.87 mm apart.
    const wide = (long: number): string =>
      files.put(
        `wide-${String(long)}.yaml`,
        readFileSync(owl, 'utf8').replace(
          /^( *)crank_mm:/m,
          `$1clearance: { servo_body_mm: [${String(long)}, 40, 38], gap_mm: 2 }\n$1crank_mm:`,
        ),
      );
    const json = async (rig: string, ...to_file: string[]): Promise<Record<string, unknown>> => {
      const { code, out } = await run(['draw', rig, ...to_file, '--json', '--force']);
      expect(code).toBe(0);
      return JSON.parse(out) as Record<string, unknown>;
    };
    const middles_mm = 140 * Math.sin((14 * Math.PI) / 180);
    for (const [long, words] of [
      [36, 'SERVO BODIES OVERLAP: leg1 and leg2 (by 2.13 mm)'],
      [33, 'Servo bodies stand too near each other: leg1 and leg2 (0.87 mm apart)'],
    ] as const) {
      const told = await json(wide(long), '--sheet', to('told.dxf'));
      const room_mm: unknown = expect.closeTo(middles_mm - long, 6);
      const pairs = [1, 3, 5].map((i) => [`leg${String(i)}`, `leg${String(i + 1)}`]);
      expect(told.crowded).toEqual(pairs.map((joints) => ({ joints, room_mm, wanted_mm: 2 })));
      expect(told.cautions).toEqual([expect.stringContaining(words)]);
      const printed = (await run(['draw', wide(long), '--sheet', to('told.dxf'), '--force'])).out;
      expect(printed).toContain((told.cautions as string[])[0]);
    }
    const none = { crowded: [], cautions: [] };
    expect(await json(wide(31), '--sheet', to('told.dxf'))).toMatchObject(none);
    expect(await json(wide(36), '-o', to('told.svg'))).toMatchObject(none);
    expect(await json(files.put('joints.yaml', TILT), '-o', to('told.svg'))).toMatchObject(none);
  });

  it('overwrites with --force only, and leaves every file alone where one is there', async () => {
    writeFileSync(to('f-2.svg'), 'mine');
    const { code, err } = await run(['draw', owl, '--sheet', to('f.svg')]);
    expect(code).toBe(2);
    expect(err).toMatch(/f-2\.svg.*exists already/);
    expect(existsSync(to('f.svg'))).toBe(false);
    expect(readFileSync(to('f-2.svg'), 'utf8')).toBe('mine');
    expect((await run(['draw', owl, '--sheet', to('f.svg'), '--force'])).code).toBe(0);
    expect(readFileSync(to('f-2.svg'), 'utf8')).not.toBe('mine');
  });

  it('draws nothing of a rig with an error', async () => {
    const bad = files.put('bad.yaml', OWL.replace('crank_mm: 22', 'crank_mm: wide'));
    const { code, err } = await run(['draw', bad, '-o', to('bad.svg')]);
    expect(code).toBe(2);
    expect(err).toMatch(/platform\.crank_mm/);
    expect(existsSync(to('bad.svg'))).toBe(false);
  });

  it('escapes what a rig file says', async () => {
    const odd = files.put('odd.yaml', OWL.replace('name: shell', 'name: "<b>&"'));
    expect((await run(['draw', odd, '-o', to('odd.svg')])).code).toBe(0);
    expect(readFileSync(to('odd.svg'), 'utf8')).not.toContain('<b>');
  });
});

describe('check --report', () => {
  it('writes the drawing beside what the file says', async () => {
    const { code, out } = await run(['check', owl, '--report', to('c.html')]);
    expect(code).toBe(0);
    expect(out).toContain('c.html');
    const html = readFileSync(to('c.html'), 'utf8');
    expect(html).toContain('<svg class="drawing"');
    expect(html).toContain('six cranks and rods, on nod');
    expect(html).not.toMatch(/<script|<link|https?:|NaN|undefined/);
  });

  it('refuses a page before any work, and beside the schema', async () => {
    expect((await run(['check', owl, '--report', to('c.html')])).err).toMatch(/exists already/);
    expect((await run(['check', '--schema', '--report', to('d.html')])).err).toMatch(/the schema has no page/);
    const bad = files.put('worse.yaml', 'rig: x\n');
    expect((await run(['check', bad, '--report', to('d.html')])).code).toBe(2);
    expect(existsSync(to('d.html'))).toBe(false);
  });
});
