import { readFileSync } from 'node:fs';
import { afterAll, describe, expect, it } from 'vitest';
import { LIFT, TILT } from '../load/rigs.ts';
import { OWL, run, scratch, stream } from './fixture.ts';

const folder = scratch();
afterAll(folder.remove);
const owl = folder.put('owl.yaml', OWL);
const wide = folder.put('wide.yaml', OWL.replace('base: { radius_mm: 70', 'base: { radius_mm: 76'));
const third = folder.put('third.yaml', OWL.replace('rod_mm: 120', 'rod_mm: 124'));
const lift = folder.put('lift.yaml', LIFT);
const tall = folder.put('tall.yaml', LIFT.replace('mass_kg: 3', 'mass_kg: 4'));
const tilt = folder.put('tilt.yaml', TILT);
const heavy = folder.put('heavy.yaml', TILT.replace('mass_kg: 0.9', 'mass_kg: 2'));
const calm = folder.put('calm.csv', stream(1, { nod_deg: (t) => 3 - 3 * Math.cos(Math.PI * t) }));

describe('compare', () => {
  it('names what differs in the files, then what that changes, and what is alike', async () => {
    const { code, out, err } = await run(['compare', owl, wide]);
    expect(code, err).toBe(0);
    expect(out).toMatch(/^differs in the files +owl +wide$/m);
    expect(out).toMatch(/^platform\.base\.radius_mm +70 mm +76 mm$/m);
    expect(out).toMatch(/^roll, leans left +[\d.]+ deg \(leg\d’s .*\) +[\d.]+ deg \(leg\d’s /m);
    expect(out.replace(/\s+/g, ' ')).toMatch(/alike .*moving plate, radius of the joints/);
    expect(out.indexOf('differs in the files')).toBeLessThan(out.indexOf('travel from home'));
    expect(out).not.toMatch(/NaN|undefined|null|Infinity/);
  });

  it('joints only, along a stream, as one JSON document', async () => {
    const { code, out } = await run(['compare', tilt, heavy, '--stream', calm, '--json']);
    expect(code).toBe(0);
    const { rigs, keys, figures, ok } = JSON.parse(out);
    expect([rigs, ok]).toEqual([
      ['tilt', 'heavy'],
      [true, true],
    ]);
    expect(keys).toEqual([{ path: 'parts.head.mass_kg', values: ['0.9', '2'] }]);
    expect(figures.map(({ name }: { name: string }) => name)).toEqual(['use', 'hold', 'lowest_hz', 'hold_a', 'peak_a']);
    expect(figures[0].values[1]).toBeGreaterThan(1.8 * figures[0].values[0]);
  });

  it('says along what it is, and without a stream that use is of holding alone', async () => {
    const along = (await run(['compare', tilt, heavy, '--stream', calm])).out;
    expect(along).toMatch(/^tilt and heavy along \S*calm\.csv\n/);
    expect(along).toMatch(/^largest use, moving or holding /m);
    const still = (await run(['compare', tilt, heavy])).out;
    expect(still).toMatch(/^tilt and heavy\n/);
    expect(still).not.toMatch(/moving|along|calm/);
    expect(still).toMatch(/^largest use, holding /m);
  });

  it('actuators; exit 1 where a rig is out of limits', async () => {
    const { code, out } = await run(['compare', lift, tall]);
    expect(code).toBe(0);
    expect(out).toContain('largest use, holding');
    const far = folder.put('far.yaml', TILT.replace('mass_kg: 0.9', 'mass_kg: 9'));
    const page = folder.path('over.html');
    const over = await run(['compare', tilt, far, '--report', page]);
    // On the page the rig is marked, and each figure that is more than a servo has.
    const html = readFileSync(page, 'utf8');
    expect(html).toMatch(/<th scope="col">tilt<\/th><th scope="col">far<span class="mark">out of limits<\/span>/);
    expect(html).toMatch(/<td class="over"><span class="value">\d{3}\u00a0%/);
    expect(html).toContain('The table goes on to the right');
    expect(over.code).toBe(1);
    expect(over.out.replace(/\s+/g, ' ')).toContain('beware far: out of limits');
  });

  it('writes one page: the rigs to one scale, both tables', async () => {
    const report = folder.path('c.html');
    const { code, out } = await run(['compare', owl, wide, third, '--report', report]);
    expect([code, out.includes(report)]).toEqual([0, true]);
    const html = readFileSync(report, 'utf8');
    expect(html).toMatch(/^<!doctype html>[^]*id="figures"[^]*id="keys"[^]*id="rests"/);
    expect(html.match(/<figure>/g)).toHaveLength(3);
    expect(html).not.toMatch(/<script|<link|https?:|NaN|undefined/);
    expect((await run(['compare', owl, wide, '--report', report])).err).toMatch(/--force overwrites it/);
  });
});

it('on the page what changes comes first, and keys of servos and pulses are folded at the end', async () => {
  const other = OWL.replace('servo: neck\n  limit', 'servo: small\n  limit')
    .replace(
      'servos:\n',
      'servos:\n  small: { stall_torque_nm: 2.5, no_load_speed_deg_s: 400, frame_hz: 50, centre_us: 1500, us_per_deg: 10, range_us: [600, 2400] }\n',
    )
    .replace('rod_mm: 120', 'rod_mm: 124');
  const report = folder.path('servos.html');
  expect((await run(['compare', owl, folder.put('small.yaml', other), '--report', report])).err).toBe('');
  const html = readFileSync(report, 'utf8').replaceAll('<wbr>', '');
  expect(html).toMatch(
    /id="figures"[^]*largest use[^]*from the base’s joints to the plate’s[^]*id="keys"[^]*platform\.rod_mm[^]*<details><summary>\d+ keys of servo classes and pulses<\/summary>[^]*servos\.small\.stall_torque_nm[^]*servos\.small\.us_per_deg/,
  );
  const travel = html.slice(html.indexOf('travel from home'), html.indexOf('how hard it works'));
  expect(travel).toMatch(/class="differs"[^]*class="alike"/);
  expect(travel).not.toMatch(/class="alike"[^]*<tr class="differs"/);
  expect(html.slice(0, html.indexOf('<details>'))).not.toContain('servos.small');
});

describe('compare refuses with exit code 2, in words', () => {
  const bad = folder.put('bad.yaml', OWL.replace('crank_mm: 22', 'crank_mm: wide'));
  it.each([
    ['one rig', [owl], 'found 1 rig; allowed: two to eight'],
    [
      'nine rigs',
      Array.from({ length: 9 }, (_, i) => folder.put(`n${String(i)}.yaml`, OWL)),
      'found 9 rigs; allowed: two to eight',
    ],
    ['one file twice', [owl, wide, owl], 'this is the same file as'],
    ['a rig with errors', [owl, bad], 'platform.crank_mm'],
    ['another drive', [owl, lift], 'this rig has linear actuators, and'],
    ['joints beside a platform', [owl, tilt], 'this rig has joints only, and'],
    [
      'a page of another kind',
      [owl, wide, '--report', folder.path('c.txt')],
      'the page is HTML: name a file that ends in .html',
    ],
    ['a page without a name', [owl, wide, '--report', folder.path('.html')], 'name a file that ends in .html'],
    ['a stream from standard input', [owl, wide, '--stream', '-'], 'it must be a file'],
    ['a file that is not there', [owl, folder.path('none.yaml')], 'none.yaml'],
  ])('%s', async (_, argv, words) => {
    const { code, out, err } = await run(['compare', ...argv]);
    expect([code, out]).toEqual([2, '']);
    expect(err).toContain(words);
    const json = await run(['compare', ...argv, '--json']);
    expect(JSON.parse(json.out)).toMatchObject({ ok: false });
  });
});
