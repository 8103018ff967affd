import { createReadStream, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import fc from 'fast-check';
import { afterAll, describe, expect, it } from 'vitest';
import type { Frame, StreamRig, StreamSource } from '../../../host/stream/read.ts';
import { repeated, readStream, scanStream } from '../../../host/stream/read.ts';
import { bytes, chunked, eyes, owl } from './fixtures.ts';

const folder = mkdtempSync(join(tmpdir(), 'stream-'));
afterAll(() => rmSync(folder, { recursive: true }));

async function framesOf(source: StreamSource, rig: StreamRig = owl): Promise<Frame[]> {
  const frames: Frame[] = [];
  for await (const batch of readStream(source, rig)) {
    expect(batch.problems).toEqual([]);
    frames.push(...batch.frames);
  }
  return frames;
}

/** Problems as `line path: message`. */
async function faults(text: string, rig: StreamRig = owl): Promise<string[]> {
  const { problems } = await scanStream([bytes(text)], rig);
  return problems.map(({ line, path, message }) => `${line} ${path}: ${message}`);
}

const good = 't_s,x_mm,yaw_deg,lid_deg\n0,1,90,10\n0.02,2,45,20\n';

/** Rows of these times, every one at the same pose. */
const rowsAt = (times: readonly number[]): string => ['t_s,x_mm', ...times.map((t_s) => `${String(t_s)},1`)].join('\n');

/** 50 frames a second, so many, from a time on. */
const run = (from_s: number, count: number): number[] => Array.from({ length: count }, (_, k) => from_s + k / 50);

describe('a long time without a frame', () => {
  it('is a warning with its times and line, and the stream plays', async () => {
    const scan = await scanStream([bytes(rowsAt([...run(0, 161), ...run(603.2, 50)]))], owl);
    expect(scan.pauses).toEqual([{ from_s: 3.2, to_s: 603.2, line: 163, moves: false }]);
    expect(scan.frames).toBe(211);
    expect(scan.problems).toEqual([
      {
        path: 't_s',
        line: 163,
        severity: 'warning',
        message:
          'nothing is asked between 3.2 s and 603.2 s: for 600 s it stands still; is a piece missing, or did a clock jump?',
      },
    ]);
  });

  it('between frames that differ creeps, by so little in one column', async () => {
    const row = (z_mm: number) => (t_s: number) => `${String(t_s)},${String(z_mm)}`;
    const rows = ['t_s,z_mm', ...run(0, 161).map(row(2)), ...run(603.2, 50).map(row(2.001))];
    expect(await faults(rows.join('\n'))).toEqual([
      expect.stringMatching(/for 600 s it creeps from one frame to the next; is a piece missing/),
    ]);
  });

  it('stands out after one stray frame as well', async () => {
    const { pauses } = await scanStream([bytes(rowsAt([0, ...run(10, 50)]))], owl);
    expect(pauses).toEqual([{ from_s: 0, to_s: 10, line: 3, moves: false }]);
  });

  it('is named three times at most', async () => {
    const said = await faults(rowsAt([0, 100, 200, 300, 400].flatMap((from_s) => run(from_s, 50))));
    expect(said).toHaveLength(3);
    expect(said[2]).toMatch(/clock jump\?; and so 1 time more$/);
  });

  it.each([
    ['key frames some seconds apart', [0, 5, 11, 15, 22, 27]],
    ['two frames', [0, 40]],
    ['one frame', [40]],
    ['a breath within a show', [...run(0, 100), ...run(4.9, 100)]],
    ['a slow stream, and one frame missing', [0, 1, 2, 3, 4, 6, 7, 12, 13]],
  ])('does not stand out: %s', async (_, times) => {
    expect(await faults(rowsAt(times))).toEqual([]);
  });
});

describe('a good stream', () => {
  it('gives frames in mm and rad, 0 for pose columns that are not there, NaN for joints', async () => {
    const frames = await framesOf([bytes(good)]);
    expect(frames.map((frame) => frame.t_s)).toEqual([0, 0.02]);
    expect(frames[0]!.pose).toEqual([1, 0, 0, 0, 0, Math.PI / 2]);
    expect([...frames[0]!.joints]).toEqual([NaN, (10 * Math.PI) / 180]);
    expect([...frames[1]!.joints]).toEqual([NaN, (20 * Math.PI) / 180]);
  });

  it('takes columns in any order, and a rig without a platform', async () => {
    const [frame] = await framesOf([bytes('lid_deg,t_s\n180,-2.5\n')], eyes);
    expect(frame).toEqual({ t_s: -2.5, pose: [0, 0, 0, 0, 0, 0], joints: Float64Array.of(Math.PI) });
  });

  it('passes over a byte order mark, CRLF, blank lines, comments, blanks, quotes, exponents and a missing last end', async () => {
    const text =
      '\uFEFF# dusk, "take 3\r\n\r\n"t_s", x_mm ,yaw_deg,lid_deg\r\n0,1, 90 ,10\r\n  # note\n,,,\n\n"0.02",2e0,4.5e1,+20';
    const plain = await framesOf([bytes(good)]);
    expect(await framesOf([bytes(text)])).toEqual(plain);
    const scan = await scanStream([bytes(text)], owl);
    expect(scan).toEqual({
      problems: [],
      frames: 2,
      first_s: 0,
      last_s: 0.02,
      pauses: [],
      shaking: [],
      columns: ['t_s', 'x_mm', 'yaw_deg', 'lid_deg'],
    });
  });

  it('names the line in which a quote is not closed, of rows and of the header', async () => {
    for (const row of ['0.02,"0', '0.02,"0"1', '"0.02"x,1']) {
      const { problems } = await scanStream([bytes(`t_s,x_mm\n0,0\n${row}\n0.04,"0"\n`)], owl);
      expect(problems).toMatchObject([{ path: 'row', line: 3, severity: 'error' }]);
      expect(problems[0]!.message).toMatch(/quoted cell does not end with its quote/);
    }
    const { problems } = await scanStream([bytes('t_s,"x_mm\n0,0\n0.02,0\n')], owl);
    expect(problems).toMatchObject([{ path: 'row', line: 1, severity: 'error' }]);
  });

  it('does not depend on how the bytes are cut', async () => {
    const text = `\uFEFF# Käuzchen\r\n${good.replaceAll('\n', '\r\n')}0.04,"3",-1.5e1,5`;
    const whole = await framesOf([bytes(text)]);
    expect(whole).toHaveLength(3);
    for (const size of [1, 2, 3, 5, 7, 64]) expect(await framesOf(chunked(text, size))).toEqual(whole);
  });

  it('reads rows the same way whether they are plain or quoted', async () => {
    const cell = fc.integer({ min: -45e6, max: 45e6 }).map((micro) => micro / 1e6);
    await fc.assert(
      fc.asyncProperty(fc.array(fc.tuple(cell, cell), { minLength: 1, maxLength: 20 }), async (rows) => {
        const text = (quote: string): string =>
          ['t_s,x_mm,nod_deg', ...rows.map((row, i) => [i, ...row].map((v) => quote + v + quote).join(','))].join('\n');
        expect(await framesOf([bytes(text('"'))])).toEqual(await framesOf([bytes(text(''))]));
      }),
    );
  });

  it('takes a chunk only when the frames of the one before have been taken, and holds none', async () => {
    let given = 0;
    function* endless(): Generator<Uint8Array> {
      yield bytes('t_s,x_mm\n');
      for (;;) yield bytes(`${(given += 1)},0\n`);
    }
    let taken = 0;
    for await (const { frames } of readStream(endless(), owl)) {
      taken += frames.length;
      expect(taken).toBe(given);
      if (taken === 1000) break;
    }
    expect(given).toBe(1000);
  });

  it('reads from a file, and as often as a source can be made', async () => {
    const file = join(folder, 'good.csv');
    writeFileSync(file, good);
    const frames = await framesOf(createReadStream(file));
    const again = repeated(() => chunked(good, 10));
    expect((await scanStream(again, owl)).frames).toBe(2);
    expect(await framesOf(again)).toEqual(frames);
  });
});

it('names a gap longer than the link can tell apart: u32 microseconds wrap after 4295 s', async () => {
  expect(await faults('t_s,x_mm\n0,0\n1800,0\n')).toEqual([]);
  expect(await faults('t_s,x_mm\n0,0\n100000,0\n')).toEqual([
    '3 t_s: t_s is 100000, 100000 s after line 2, and 1800 s is the most: are these times in seconds?',
  ]);
});

it('names figures that no prop can mean, and that single precision would not hold', async () => {
  expect(await faults('t_s,x_mm\n1700000000,1e6\n')).toEqual([]);
  expect(await faults('t_s,x_mm\n0,0\n1,-1e39\n')).toEqual(['3 x_mm: x_mm is -1e+39 mm, and 1000000 mm is the most']);
  expect(await faults('t_s,x_mm\n1e300,0\n')).toEqual(['2 t_s: t_s is 1e+300 s, and 9000000000 s is the most']);
});

describe('a bad header', () => {
  it.each([
    ['t_s,nodd_deg', '1 nodd_deg: this rig has no column nodd_deg; nearest is nod_deg. Known: t_s, x_mm, y_mm,'],
    ['t_s,yaw', '1 yaw: this rig has no column yaw; nearest is yaw_deg'],
    ['t_s,pitch_rad', '1 pitch_rad: this rig has no column pitch_rad; nearest is pitch_deg'],
    ['t_s,whiskers_deg', '1 whiskers_deg: this rig has no column whiskers_deg. Known: t_s, x_mm, y_mm,'],
    ['t_s,leg3_deg', '1 leg3_deg: leg3_deg: legs cannot be asked for one by one'],
    ['t_s,leg3_mm', '1 leg3_mm: leg3_mm: legs cannot be asked for one by one'],
    ['t_s,x_mm,x_mm', '1 x_mm: x_mm stands twice'],
    ['x_mm,y_mm', '1 t_s: there is no column t_s'],
    ['t_s,x_mm,', '1 row: column 3 has no name'],
    ['0,1,2', '1 row: the first row holds numbers'],
    ['t_s;x_mm;y_mm', '1 row: columns are separated by semicolons'],
    ['t_s\tx_mm', '1 row: columns are separated by tabs'],
    ['t\0_\0s\0', '1 row: this is not UTF-8 text'],
  ])('%j is named', async (header, words) => {
    const [first, ...more] = await faults(`${header}\n`);
    expect(first).toContain(words);
    expect(more).toEqual([]);
  });

  it('does not keep the rows from being checked, but does keep them from being played', async () => {
    const text = 't_s,nodd_deg,lid_deg\n0,words,1\n1,2,x\n';
    expect(await faults(text)).toEqual([
      expect.stringContaining('1 nodd_deg: '),
      '3 lid_deg: lid_deg is "x", not a number',
    ]);
    expect((await scanStream([bytes(text)], owl)).frames).toBe(0);
  });

  it('warns of a pose for a rig without a platform', async () => {
    const { problems, frames } = await scanStream([bytes('t_s,x_mm,lid_deg\n0,1,2\n')], eyes);
    expect(problems).toEqual([expect.objectContaining({ path: 'x_mm', line: 1, severity: 'warning' })]);
    expect(frames).toBe(1);
  });
});

describe('bad rows', () => {
  it('are all named in one go, with their lines', async () => {
    const text = [
      '# a comment', // 1
      't_s,yaw_deg,lid_deg', // 2
      '0,0,0', // 3
      '0.02,1', // 4
      '0.04,1,2,3', // 5
      '', // 6
      '0.06,one,', // 7
      '0.08,1e400,2', // 8
      '0.08,100,2', // 9: against line 8's time and line 3's angle
      '0.07,100,2', // 10
      '0.0700001,100,2', // 11
      '0.1,9.5,2', // 12
    ].join('\n');
    expect(await faults(text)).toEqual([
      '4 row: the row is too short: 2 cells, where the header has 3',
      '5 row: the row is too long: 4 cells, where the header has 3',
      '7 yaw_deg: yaw_deg is "one", not a number',
      '7 lid_deg: lid_deg is empty: a column has a number in every row, or is left out',
      '8 yaw_deg: yaw_deg is 1e400, which is not finite',
      '9 t_s: t_s is 0.08 s, and line 8 has 0.08 s already: times must increase',
      expect.stringContaining('9 yaw_deg: yaw_deg steps by 100 degrees from line 8, and 90 is the most'),
      '10 t_s: t_s is 0.07 s, and line 9 has 0.08 s already: times must increase',
      '11 t_s: t_s is 0.0700001, less than a microsecond after line 10: the link counts microseconds',
      expect.stringContaining('12 yaw_deg: yaw_deg steps by 90.5 degrees'),
    ]);
  });

  it('are named the same however the bytes are cut', async () => {
    const text = 't_s,x_mm\n0,1\n0,2\n"1",x\n2,3,4\n';
    const whole = await scanStream([bytes(text)], owl);
    expect(whole.problems).toHaveLength(3);
    expect(await scanStream(chunked(text, 1), owl)).toEqual(whole);
  });

  it('allow a step of 90 degrees, and any step in mm', async () => {
    expect(await faults('t_s,yaw_deg,x_mm\n0,-45,-500\n1,45,500\n')).toEqual([]);
  });

  it('beyond a hundred are counted', async () => {
    const rows = Array.from({ length: 250 }, (_, i) => `${i},x`);
    const { problems } = await scanStream([bytes(['t_s,x_mm', ...rows].join('\n'))], owl);
    expect(problems).toHaveLength(101);
    expect(problems[99]!.line).toBe(101);
    expect(problems[100]!.message).toContain('and 150 more, from line 102 on');
    expect(problems[100]!.line).toBe(102);
  });

  it('let the frames before them through, and none after', async () => {
    const { frames, last_s } = await scanStream([bytes('t_s,x_mm\n0,0\n1,1\n2,x\n3,3\n')], owl);
    expect({ frames, last_s }).toEqual({ frames: 2, last_s: 1 });
  });
});

describe('a stream that is none', () => {
  it.each([
    ['', /^0 file: the stream is empty/],
    ['# only words\n\n', /^0 file: the stream is empty/],
    ['t_s,x_mm\n# nothing\n', /^2 file: the stream has a header and no row below it/],
    ['x'.repeat(200_000), /^1 file: this line does not end/],
  ])('%# is said so', async (text, words) => {
    expect(await faults(text)).toEqual([expect.stringMatching(words)]);
  });

  it('a missing file and a folder are problems, not exceptions', async () => {
    const missing = join(folder, 'missing.csv');
    const shape = { path: 'file', line: 0, severity: 'error' };
    expect((await scanStream(createReadStream(missing), owl)).problems).toEqual([
      { ...shape, message: `there is no such file` },
    ]);
    expect((await scanStream(createReadStream(folder), owl)).problems).toEqual([
      { ...shape, message: `this is a folder, not a file` },
    ]);
  });

  it('random bytes never throw', async () => {
    await fc.assert(
      fc.asyncProperty(fc.uint8Array({ maxLength: 300 }), fc.boolean(), async (noise, withHeader) => {
        const source = withHeader ? [bytes('t_s,x_mm\n'), noise] : [noise];
        const scan = await scanStream(source, owl);
        expect(scan.frames === 0 ? scan.problems.length : 1).toBeGreaterThan(0);
      }),
    );
  });
});

describe('what is no stream is not read to its end', () => {
  it.each([
    ['a line without end', new Uint8Array(1 << 17)],
    ['a header that is none', new TextEncoder().encode('t_s;yaw_deg\n0;0\n')],
  ])('%s', async (_, chunk) => {
    let taken = 0;
    const endless = (function* () {
      for (; taken < 1000; taken++) yield chunk;
    })();
    const { problems } = await scanStream(endless, { joints: [], platform: {} });
    expect(problems).toHaveLength(1);
    expect(taken).toBeLessThan(3);
  });
});
