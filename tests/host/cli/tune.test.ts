import { readFileSync } from 'node:fs';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { SICK, axisText } from '../tune/axes.ts';
import { needController, run, scratch, stream } from './fixture.ts';

const files = scratch();
beforeAll(needController);
afterAll(() => {
  files.remove();
});
const TEXT = axisText(SICK['a direct drive']!);
const axis = files.put('axis.yaml', TEXT);
const heavy = files.put('heavy.yaml', axisText({ ...SICK['a small servo at 3:1']!, ratio: 1 }));
const show = files.put('show.csv', stream(2, { tilt_deg: (t_s) => 10 * Math.sin(2 * t_s) }));

describe('tune', () => {
  it('shows what would change and why, and writes nothing without -o', async () => {
    const { code, out, err } = await run(['tune', axis]);
    expect([code, err]).toEqual([0, '']);
    expect(out).toMatch(/tilt +250 deg\/s +1500 → 9\d{2} deg\/s² +1500 deg\/s² .* → 0 ms.*\n +zero at 121 deg\/s\n/);
    expect(out.replace(/\s+/g, ' ')).toMatch(
      /limited by raising the load \(plus\): holding alone takes 1\.06 N·m of the 2 N·m its servo gives/,
    );
    expect(out).toContain('nothing written yet');
    expect(out).toContain('simulation only');
    expect(out).not.toContain('\u001b');
    expect(readFileSync(axis, 'utf8')).toBe(TEXT);
  });

  it('writes a new file that keeps every comment, and is well', async () => {
    const to = files.path('tuned.yaml');
    expect((await run(['tune', axis, '-o', to])).code).toBe(0);
    const bare = (text: string): string =>
      text.replace(/accel_deg_s2: .*?(?= {5}#)/, '').replace(/\n {4}accel_gone_at_deg_s: \{ plus: 121 \}/, '');
    expect(readFileSync(to, 'utf8')).not.toBe(TEXT);
    // A comment says what stood beside it; what its writer put there stays.
    const written = readFileSync(to, 'utf8');
    expect(written).toContain('# tuned by posewright; was 1500: a guess');
    expect(bare(written.replace('tuned by posewright; was 1500: ', ''))).toBe(bare(TEXT));
    const again = await run(['tune', to, '--json']);
    expect(JSON.parse(again.out).joints[0]).toMatchObject({
      name: 'tilt',
      outcome: 'well',
      before: { saturated_ms: 0 },
    });
  });

  it('says what the stream asks beyond the new limits, and that retime is next', async () => {
    const quick = files.put('quick.csv', stream(2, { tilt_deg: (t_s) => 25 * Math.sin(7 * t_s) }));
    const { code, out } = await run(['tune', axis, '--stream', quick, '-o', files.path('quick.yaml')]);
    expect(code).toBe(0);
    expect(out.replace(/\s+/g, ' ')).toMatch(
      /lags tilt goes up to \d+\.\d deg past everything that .*quick\.csv asks \(\d+\.\d deg with the file’s limits\) and falls up to \d+\.\d deg behind what .*quick\.csv asks \(\d+\.\d deg with the file’s limits\)/,
    );
    expect(out).toMatch(/next +posewright retime \S+quick\.yaml/);
    const answer = JSON.parse((await run(['tune', axis, '--stream', quick, '--json'])).out);
    expect(answer.late).toEqual([
      {
        name: 'tilt',
        before_deg: expect.any(Number),
        after_deg: expect.any(Number),
        past_before_deg: expect.any(Number),
        past_after_deg: expect.any(Number),
        carries_nothing: true,
      },
    ]);
    expect(JSON.parse((await run(['tune', axis, '--stream', show, '--json'])).out).late).toEqual([]);
  });

  it('answers in JSON alone, every key with its unit', async () => {
    const { code, out, err } = await run(['tune', axis, '--stream', show, '--json'], { tty: true });
    expect(code).toBe(0);
    expect(err).not.toContain('{');
    const answer = JSON.parse(out);
    expect(answer).toMatchObject({ ok: true, rig: 'sick', stream: show, output: null, faster: false, advice: [] });
    expect(answer.margins.map(({ what }: { what: string }) => what)).toEqual([
      'voltage',
      'weight',
      'friction',
      'damping',
    ]);
    expect(answer.margins_together).toMatchObject({ of: 0.5, holds: false });
    const [joint] = answer.joints;
    expect(joint.file).toEqual({ speed_deg_s: 250, plus_deg_s2: 1500, minus_deg_s2: 1500 });
    expect(Object.keys(joint)).toEqual(
      expect.arrayContaining(['name', 'speed_deg_s', 'plus_deg_s2', 'minus_deg_s2', 'bound_by', 'before', 'after']),
    );
    expect(joint.after).toEqual({ saturated_ms: 0, falls: false, peak_error_deg: expect.any(Number) });
  });

  it('reads rig or stream from standard input', async () => {
    expect((await run(['tune', '-'], { stdin: TEXT })).code).toBe(0);
    const { code, out } = await run(['tune', axis, '--stream', '-'], { stdin: readFileSync(show, 'utf8') });
    expect(code).toBe(0);
    expect(out).toContain('then standard input');
  });

  it('what falls in simulation is said so, and of what could not be tried for that or for want of figures nothing', async () => {
    const lid =
      '  lid: { servo: s, limit_deg: [0, 30], speed_deg_s: 100, accel_deg_s2: 1000, load: { mass_kg: 0.01, arm_mm: 20, inertia_kgm2: 1.0e-5 } }\n';
    const fallen = TEXT.replace('mass_kg: 0.9', 'mass_kg: 30').replace('us_per_deg: 4', 'us_per_deg: 12');
    const { code, out } = await run(['tune', files.put('fallen.yaml', fallen.replace('motion:', `${lid}motion:`))]);
    expect(code).toBe(1);
    expect(out).toMatch(/^tilt .* ms +falls$/m);
    expect(out).toMatch(/^lid .* unknown +unknown$/m);
    expect(out.replace(/\s+/g, ' ')).toContain('tilt still falls in simulation');
    const bare = files.put('bare.yaml', TEXT.replace('stall_torque_nm: 2 ', 'stall_torque_nm: unknown '));
    const unknown = (await run(['tune', bare])).out;
    expect(unknown).toMatch(/^tilt .* unknown +unknown$/m);
    expect(unknown).not.toContain('?');
  });

  it('where no limits help: exit 1, and what would', async () => {
    const { code, out } = await run(['tune', heavy]);
    expect(code).toBe(1);
    for (const words of [
      'cannot carry the load',
      'a counterweight of',
      'a torsion spring of',
      'a gear of',
      'stall torque of at least',
    ])
      expect(out).toContain(words);
  });
});

describe('the page', () => {
  it('is written whole, said where, and never over what is read or written', async () => {
    const report = files.path('tuned.html');
    const { code, out } = await run(['tune', axis, '--stream', show, '--report', report]);
    expect([code, out.includes(`${report} shows`)]).toEqual([0, true]);
    expect(readFileSync(report, 'utf8')).toMatch(/^<!doctype html>[^]*id="torque"[^]*id="limits"/);
    expect((await run(['tune', axis, '--report', report])).err).toMatch(/--force overwrites it/);
    expect((await run(['tune', axis, '--report', axis, '--force'])).err).toMatch(/one of the inputs/);
    const to = files.path('one.txt');
    expect((await run(['tune', axis, '-o', to, '--report', to])).err).toMatch(/cannot be the same file/);
  });
});

describe('what is refused, before any work', () => {
  const there = files.put('there.yaml', 'mine');
  it.each([
    [['tune', axis, '-o', there], 'exists already: --force overwrites it'],
    [['tune', axis, '-o', axis], 'exists already: --force overwrites it'],
    [['tune', axis, '--stream', show, '-o', show, '--force'], 'one of the inputs'],
    [['tune', files.path('no.yaml')], 'there is no such file'],
    [['tune', axis, '--stream', files.path('no.csv')], 'there is no such file'],
    [['tune', '-', '--stream', '-'], 'come from standard input'],
    [['tune', axis, '-o', files.path('no/where.yaml')], 'there is no folder'],
  ])('%j', async (argv, words) => {
    const { code, out, err } = await run(argv);
    expect(code).toBe(2);
    expect(err).toContain(words);
    expect(out).toBe('');
    expect(readFileSync(there, 'utf8')).toBe('mine');
    expect(readFileSync(axis, 'utf8')).toBe(TEXT);
  });

  it('the rig itself is written over when --force says so', async () => {
    const own = files.put('own.yaml', TEXT);
    expect((await run(['tune', own, '-o', own, '--force'])).code).toBe(0);
    expect(readFileSync(own, 'utf8')).toContain('# As it came from the bench.');
    expect(readFileSync(own, 'utf8')).not.toBe(TEXT);
  });
});
