import { execFileSync } from 'node:child_process';
import { existsSync, readFileSync, readdirSync } from 'node:fs';
import { writeFile } from 'node:fs/promises';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { FAR, GENTLE, JERKY, OWL, needController, run, scratch, stream } from './fixture.ts';

const files = scratch();
beforeAll(needController);
afterAll(() => {
  files.remove();
});
const owl = files.put('owl.yaml', OWL);
/** A rig without a platform. */
const EARS = `rig: ears
servos:
  face: { stall_torque_nm: 0.2, no_load_speed_deg_s: 600, frame_hz: 50, us_per_deg: 10, range_us: [700, 2300], centre_us: 1500 }
joints:
  ears: { servo: face, pin: 2, limit_deg: [-30, 30], speed_deg_s: 300, accel_deg_s2: 3000 }
motion: { tick_hz: 100, playback_delay_ms: 40 }
rest: on_stop
audience: bench
`;
const gentle = files.put('gentle.csv', GENTLE);

describe('replay', () => {
  it('plays a stream within limits', async () => {
    const { code, out, err } = await run(['replay', owl, gentle]);
    expect([code, err]).toEqual([0, '']);
    expect(out).toMatch(/Can it get there\? +yes/);
    expect(out).toMatch(/Will it be smooth\? +yes/);
    expect(out).toMatch(/nod .*of 70 deg\/s/);
    expect(out).toContain('nothing here has run on a board');
    expect(out).not.toContain('\u001b');
    expect(out.split('\n').length).toBeLessThan(30);
  });

  it('answers in JSON alone, every key with its unit', async () => {
    const { code, out, err } = await run(['replay', owl, gentle, '--json'], { tty: true });
    expect(code).toBe(0);
    expect(err).not.toContain('{');
    const answer = JSON.parse(out);
    expect(answer).toMatchObject({
      ok: true,
      target: 'sim',
      frames: 101,
      late: 0,
      starved: 0,
      unreachable: 0,
      delay_ms: 80,
    });
    expect(answer.joints.map((joint: { name: string }) => joint.name).slice(-2)).toEqual(['nod', 'lid']);
    const nod = answer.joints[6];
    // The stream's nod is -4 (1 - cos πt) deg: to -8 deg, at most 4π deg/s and 4π² deg/s².
    expect(nod.min_deg).toBeCloseTo(-8, 1);
    expect(nod.peak_speed_deg_s).toBeCloseTo(4 * Math.PI, 0);
    expect(nod.peak_plus_deg_s2 / (4 * Math.PI ** 2)).toBeCloseTo(1, 0);
    expect(nod).toMatchObject({ limit_ticks: 0, saturated_ms: null, peak_error_deg: expect.any(Number) });
    expect(Object.keys(nod)).not.toContain('unit');
  });

  it('says which joint is asked for too much, and exits 1', async () => {
    const { code, out } = await run(['replay', owl, files.put('jerky.csv', JERKY)]);
    expect(out).toMatch(
      /Will it be smooth\? +no: nod is asked for more than its limits allow: it falls [\d.]+ deg behind/,
    );
    // The path is the plate's in its carrier: a nod that comes late leaves it as it is.
    expect(code).toBe(1);
  });

  it('says what stops a pose out of reach, and exits 1', async () => {
    const { code, out } = await run(['replay', owl, files.put('far.csv', FAR)]);
    expect(code).toBe(1);
    expect(out).toMatch(/Can it get there\? +no: For \d+ % of the time/);
    expect(out).toMatch(/stopped by +leg\d/);
    expect(out).toContain('poses are out of reach');
  });

  it('hears the line: loss leaves ticks without a frame', async () => {
    const { code, out } = await run(['replay', owl, gentle, '--json', '--loss', '0.5', '--burst', '10', '--seed', '3']);
    const answer = JSON.parse(out);
    expect(code).toBe(1);
    expect(answer.lost).toBeGreaterThan(10);
    const again = await run(['replay', owl, gentle, '--json', '--loss', '0.5', '--burst', '10', '--seed', '3']);
    expect(JSON.parse(again.out)).toEqual({ ...answer, tick_us: expect.anything() });
    const late = JSON.parse((await run(['replay', owl, gentle, '--json', '--latency-ms', '200'])).out);
    expect(late.latency_ms.p50).toBeGreaterThan(190);
    expect(late.late).toBeGreaterThan(0);
  });

  it('says whose path it was, and nothing of a path where there is no platform', async () => {
    expect((await run(['replay', owl, gentle])).out.replace(/\s+/g, ' ')).toContain(
      'path the moving plate, seen from nod, is at worst',
    );
    const ears = files.put('ears.yaml', EARS);
    const { code, out } = await run(['replay', ears, files.put('ears.csv', 't_s,ears_deg\n0,0\n1,5\n')]);
    expect([code, out.includes('\npath')]).toEqual([0, false]);
  });

  it('with --plant a servo out of torque is out of limits: exit 1, in words, on the page and in JSON alike', async () => {
    const weak = files.put('weak.yaml', OWL.replace('mass_kg: unknown', 'mass_kg: 4.2'));
    const nods = files.put('nods.csv', stream(2, { nod_deg: (t_s) => -10 * (1 - Math.cos(4 * t_s)) }));
    const page = files.path('weak.html');
    const { code, out } = await run(['replay', weak, nods, '--plant', '--report', page]);
    const words = out.replace(/\s+/g, ' ');
    expect(code).toBe(1);
    expect(words).toMatch(/Will it be smooth\? no: In simulation nod runs out of torque for \d+ ms\./);
    expect(words).toContain('out of limits: in simulation a servo runs out of torque');
    const html = readFileSync(page, 'utf8').replace(/[\s\u00a0]+/g, ' ');
    expect(html).toContain('Something is out of limits.');
    expect(html).toContain('In simulation nod runs out of torque for');
    expect(html).not.toContain('Nothing is out of limits');
    const answer = JSON.parse((await run(['replay', weak, nods, '--plant', '--json'])).out);
    expect(answer.ok).toBe(false);
    expect(answer.joints[6].saturated_ms).toBeGreaterThan(0);
    expect((await run(['replay', weak, nods])).code).toBe(0);
  });

  it('with --plant names whom it simulates, and who is taken to follow exactly', async () => {
    const half = EARS.replace(
      'joints:',
      '  fin: { stall_torque_nm: unknown, no_load_speed_deg_s: 600, frame_hz: 50, us_per_deg: 10, range_us: [700, 2300], centre_us: 1500 }\njoints:',
    ).replace(
      'motion:',
      '  tail: { servo: fin, pin: 3, limit_deg: [-30, 30], speed_deg_s: 300, accel_deg_s2: 3000 }\nmotion:',
    );
    const rig = files.put(
      'half.yaml',
      half.replace(
        'accel_deg_s2: 3000 }',
        'accel_deg_s2: 3000, load: { mass_kg: 0.01, arm_mm: 10, inertia_kgm2: 1.0e-4 } }',
      ),
    );
    const page = files.path('half.html');
    const sway = files.put('sway.csv', 't_s,ears_deg,tail_deg\n0,0,0\n1,5,5\n2,0,0\n');
    const { code, out } = await run(['replay', rig, sway, '--plant', '--report', page]);
    const words = out.replace(/\s+/g, ' ');
    expect(code).toBe(0);
    expect(words).toContain('the prop ears follows, its weight and servo simulated; tail is taken to follow exactly');
    expect(words).toContain('In simulation tail is taken to follow exactly');
    const html = readFileSync(page, 'utf8').replace(/[\s\u00a0]+/g, ' ');
    expect(html).toContain('The motion of ears asks for');
    expect(html).toContain('unknown</span> <span class="beside">taken to follow');
    expect(html).toContain('Torque and speed of the servos of ears were simulated');
    expect(JSON.parse((await run(['replay', rig, sway, '--plant', '--json'])).out).metal.taken_exact).toEqual(['tail']);
  });

  it('with --plant a plate that its legs cannot hold falls, and no leg is so many degrees behind', async () => {
    const heavy = files.put('heavy.yaml', OWL.replace('mass_kg: 0.62', 'mass_kg: 40'));
    const page = files.path('heavy.html');
    const { code, out } = await run(['replay', heavy, gentle, '--plant', '--report', page]);
    const html = readFileSync(page, 'utf8').replace(/[\s\u00a0]+/g, ' ');
    expect(html).toMatch(/falls at \d\.\d\d s/);
    expect(html).toMatch(/behind, known until \d\.\d\d s/);
    const words = out.replace(/\s+/g, ' ');
    expect(code).toBe(1);
    expect(words).toMatch(/In simulation (the plate|nod) falls at \d\.\d\d s/);
    expect(words).toMatch(/(the plate|nod) falls at \d\.\d\d s: what comes after is not simulated/);
    for (const [, deg] of words.matchAll(/([\d.]+) deg behind its command/g)) expect(Number(deg)).toBeLessThan(90);
  });

  it('judges by the tolerance it is given', async () => {
    const far = files.path('far.csv');
    const near = JSON.parse((await run(['replay', owl, far, '--json', '--tolerance', '200,10'])).out);
    expect(near.tolerance).toEqual({ mm: 200, deg: 10 });
  });

  it('plays standard input, and says the same', async () => {
    const piped = JSON.parse((await run(['replay', owl, '-', '--json'], { stdin: GENTLE })).out);
    const read = JSON.parse((await run(['replay', owl, gentle, '--json'])).out);
    expect(piped).toEqual({ ...read, stream: 'standard input', tick_us: expect.anything() });
  });

  it.skipIf(process.platform === 'win32')(
    'plays a pipe with a name, as a shell makes for <(…), which gives its bytes once',
    async () => {
      const pipe = files.path('pipe');
      execFileSync('mkfifo', [pipe]);
      const [{ code, out }] = await Promise.all([run(['replay', owl, pipe, '--json']), writeFile(pipe, GENTLE)]);
      expect([code, JSON.parse(out).frames]).toEqual([0, 101]);
    },
  );

  it('writes a report, whole, and not twice without --force', async () => {
    const page = files.path('show.html');
    const first = await run(['replay', owl, gentle, '--report', page]);
    expect(first.code).toBe(0);
    expect(first.out).toContain(page);
    const text = readFileSync(page, 'utf8');
    expect(text).toMatch(/^<!doctype html>[^]*<\/html>\s*$/);
    files.put('show.html', 'mine');
    const second = await run(['replay', owl, gentle, '--report', page]);
    expect([second.code, second.out]).toEqual([2, '']);
    expect(second.err).toContain('--force');
    expect(readFileSync(page, 'utf8')).toBe('mine');
    expect((await run(['replay', owl, gentle, '--report', page, '--force'])).code).toBe(0);
    expect(readFileSync(page, 'utf8').slice(0, 500)).toBe(text.slice(0, 500));
    expect(readdirSync(files.path('.')).filter((name) => name.endsWith('.part'))).toEqual([]);
  });

  it('never writes over what it reads', async () => {
    const { code } = await run(['replay', owl, gentle, '--report', owl, '--force']);
    expect(code).toBe(2);
    expect(readFileSync(owl, 'utf8')).toBe(OWL);
  });

  it('tells past from behind: in words, with both in the table, and in JSON', async () => {
    // 15 deg in a frame: wherever the joint ends up beyond them is past, and its highest position says how far.
    const jerky = files.put('past.csv', JERKY);
    const past = async (rig: string, show: string) => {
      const { joints } = JSON.parse((await run(['replay', rig, show, '--json'])).out);
      const nod = joints.find(({ name }: { name: string }) => name === 'nod');
      expect(nod).toMatchObject({ past_deg: expect.any(Number), past_at_s: expect.any(Number) });
      expect(nod.past_deg).toBeCloseTo(Math.max(0, -15 - nod.min_deg), 3);
      const { out } = await run(['replay', rig, show]);
      expect(out).toMatch(/joint .*behind +past\n/);
      return { by_deg: nod.past_deg as number, out: out.replace(/\s+/g, ' ') };
    };
    const stops = await past(owl, jerky);
    expect(stops.by_deg).toBeLessThan(0.5);
    expect(stops.out).not.toContain('past everything asked');
    // A ramp that ends at once, for a joint that brakes softly and sees no more than 20 ms ahead.
    const ramp = files.put(
      'ramp.csv',
      stream(3, { nod_deg: (t_s) => -15 * Math.min(1, Math.max(0, (t_s - 1) / 0.5)) }),
    );
    const slow = OWL.replace('plus: 600, minus: 600', 'plus: 150, minus: 150').replace(
      '  tick_hz: 200\n',
      '  tick_hz: 200\n  look_ahead_ms: 20\n',
    );
    const goes = await past(files.put('soft.yaml', slow), ramp);
    expect(goes.by_deg).toBeGreaterThan(0.5);
    expect(goes.out).toContain(`it goes ${goes.by_deg.toFixed(1)} deg past everything asked of it`);
  });

  it('writes what came out as a stream that plays again', async () => {
    const output = files.path('delivered.csv');
    const { code, out } = await run(['replay', owl, files.put('to-deliver.csv', JERKY), '-o', output]);
    expect([code, out.includes('the motion that came out')]).toEqual([1, true]);
    const lines = readFileSync(output, 'utf8').trimEnd().split('\n');
    expect(lines.slice(0, 2)).toEqual([
      expect.stringMatching(/^# The motion that came out when test-owl played .*to-deliver\.csv on sim/),
      't_s,x_mm,y_mm,z_mm,roll_deg,pitch_deg,yaw_deg,nod_deg,lid_deg',
    ]);
    const rows = lines.slice(2).map((line) => line.split(',').map(Number));
    const at = (t_s: number): number => rows.find(([time]) => time! >= t_s)![7]!;
    // From rest at 1 s by 600 deg/s²: a moment later it is on its way, and not there at once as it was asked to be.
    expect(at(0.9)).toBeCloseTo(0, 3);
    expect(at(1.1)).toBeLessThan(-1);
    expect(at(1.1)).toBeGreaterThan(-15);
    expect(rows.at(-1)![7]).toBeCloseTo(-15, 1);
    expect(rows.length / 50).toBeCloseTo(2, 0);
    const again = JSON.parse((await run(['replay', owl, output, '--json'])).out);
    expect(again).toMatchObject({ ok: true, frames: rows.length });
    // What it could do it can nearly do again: between servo frames the curve bends a little more than the joint did.
    expect(Math.max(...again.joints.map((joint: { peak_error_deg: number }) => joint.peak_error_deg))).toBeLessThan(
      1.5,
    );
  });

  it('writes only joints where there is no platform, and what comes late after the stream is over', async () => {
    const rig = files.put('ears-late.yaml', EARS.replace('speed_deg_s: 300', 'speed_deg_s: 40'));
    const output = files.path('ears-delivered.csv');
    await run(['replay', rig, files.put('ears-late.csv', 't_s,ears_deg\n5,0\n5.5,0\n5.52,20\n'), '-o', output]);
    const [, header, ...rows] = readFileSync(output, 'utf8').trimEnd().split('\n');
    expect(header).toBe('t_s,ears_deg');
    const [first, last] = [rows[0]!, rows.at(-1)!].map((row) => row.split(',').map(Number));
    expect(first![0]).toBeCloseTo(5, 1);
    // 20 deg at 40 deg/s: half a second more.
    expect(last![0]).toBeGreaterThan(5.9);
    expect(last![1]).toBeGreaterThan(18);
  });

  it('leaves no half-written stream behind, and writes over nothing unasked', async () => {
    const kept = files.put('kept.csv', 'mine');
    expect((await run(['replay', owl, gentle, '-o', kept])).code).toBe(2);
    expect(readFileSync(kept, 'utf8')).toBe('mine');
    expect((await run(['replay', owl, gentle, '-o', gentle, '--force'])).err).toContain('one of the inputs');
    expect((await run(['replay', owl, gentle, '-o', 'x.csv', '--report', 'x.csv'])).err).toContain(
      'cannot be the same file',
    );
    expect((await run(['replay', owl, gentle, '-o', kept, '--force'])).code).toBe(0);
    expect(readFileSync(kept, 'utf8')).toContain('t_s,x_mm');
    const absent = files.path('absent.csv');
    // Nobody is at the other end of that line.
    expect((await run(['replay', owl, gentle, '--on', `serial:${files.path('nowhere')}`, '-o', absent])).code).toBe(2);
    expect(existsSync(absent)).toBe(false);
    expect(readdirSync(files.path('.')).filter((name) => name.includes('.part'))).toEqual([]);
  });

  it('shows its progress on a terminal only, coloured unless NO_COLOR is set', async () => {
    const shown = await run(['replay', owl, gentle], { tty: true });
    expect(shown.err).toContain('playing on sim');
    expect(shown.out).toContain('\u001b[');
    const plain = await run(['replay', owl, gentle], { tty: true, env: { NO_COLOR: '1' } });
    expect(plain.out).not.toContain('\u001b');
    expect((await run(['replay', owl, gentle])).err).toBe('');
  });
});

describe('replay refuses, and writes nothing', () => {
  const torn = 't_s,yaw_deg\n0,1\n0,2\n0.1,x\n';
  it.each([
    ['a missing rig', ['nowhere.yaml', gentle], 'no such file'],
    ['a missing stream', [owl, 'nowhere.csv'], 'no such file'],
    ['an empty stream', [owl, files.put('empty.csv', '')], 'empty.csv'],
    ['a stream without rows', [owl, files.put('head.csv', 't_s,yaw_deg\n')], 'head.csv'],
    ['a bad stream', [owl, files.put('torn.csv', torn)], 'torn.csv:4'],
    ['an unknown column', [owl, files.put('tail.csv', 't_s,tail_deg\n0,1\n')], 'tail'],
    ['a bad rig', [files.put('bad.yaml', 'rig: 1\n'), gentle], 'bad.yaml'],
    ['an unknown target', [owl, gentle, '--on', 'moon'], 'sim'],
    ['a folder that is not there', [owl, gentle, '--report', files.path('no/show.html')], 'no folder'],
    ['two standard inputs', ['-', '-'], 'standard input'],
    ['garbage for a tolerance', [owl, gentle, '--tolerance', 'tight'], 'two numbers'],
    ['a negative tolerance', [owl, gentle, '--tolerance', '-1,1'], 'two numbers'],
    ['half a tolerance', [owl, gentle, '--tolerance', '1'], 'two numbers'],
    ['a loss above all', [owl, gentle, '--loss', '2'], '0 to 1'],
    ['a loss in words', [owl, gentle, '--loss', 'some'], 'not a number'],
    ['a negative delay', [owl, gentle, '--latency-ms', '-5'], '0 or more'],
    ['a line too slow for any answer', [owl, gentle, '--latency-ms', '900', '--jitter-ms', '200'], 'up to 1000 ms'],
    ['half a seed', [owl, gentle, '--seed', '1.5'], 'whole number'],
  ])('%s', async (_, argv, words) => {
    const page = files.path(`${words.replace(/\W/g, '')}${String(argv.length)}.html`);
    const given = argv.includes('--report') ? argv : [...argv, '--report', page];
    const { code, out, err } = await run(['replay', ...given]);
    expect(err).toContain(words);
    expect(err).not.toContain('has a fault');
    expect([code, out, existsSync(page)]).toEqual([2, '', false]);
  });

  it('all at once: every option and both files', async () => {
    const argv = [
      'nowhere.yaml',
      'nowhere.csv',
      '--loss',
      '5%',
      '--jitter-ms',
      'x',
      '--burst',
      '0',
      '--tolerance',
      '1',
    ];
    const { code, out, err } = await run(['replay', ...argv, '--on', 'moon', '--json']);
    expect(code).toBe(2);
    const { problems } = JSON.parse(out);
    const told = problems.map(({ file, message }: { file: string; message: string }) => `${file} ${message}`);
    for (const [k, words] of [
      '--jitter-ms is "x", not a number; allowed: a time in ms, 0 or more',
      '--loss is "5%", not a number; allowed: a share from 0 to 1, such as 0.02',
      'the line burst is 0 frames',
      '--tolerance is "1"; allowed: two numbers',
      '--on "moon"',
      'nowhere.yaml there is no such file',
      'nowhere.csv there is no such file',
    ].entries())
      expect(told[k]).toContain(words);
    expect(told).toHaveLength(7);
    expect(err).not.toContain('NaN');
  });

  it('in JSON too, when that was asked for', async () => {
    const { code, out } = await run(['replay', owl, files.path('torn.csv'), '--json']);
    expect(code).toBe(2);
    const { ok, problems } = JSON.parse(out);
    expect(ok).toBe(false);
    expect(problems.map((problem: { line: number }) => problem.line)).toEqual([3, 4]);
  });
});
