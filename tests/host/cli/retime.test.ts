import { existsSync, readFileSync } from 'node:fs';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { FAR, GENTLE, JERKY, OWL, needController, run, scratch, stream } from './fixture.ts';

const files = scratch();
beforeAll(needController);
afterAll(() => {
  files.remove();
});
const owl = files.put('owl.yaml', OWL);
const gentle = files.put('gentle.csv', GENTLE);
const jerky = files.put('jerky.csv', `# whose it is\n${JERKY}`);

describe('retime', () => {
  it('slows what asks for too much, and replay finds nothing left', async () => {
    const to = files.path('jerky-owl.csv');
    const { code, out, err } = await run(['retime', owl, jerky, '-o', to]);
    expect([code, err]).toEqual([0, '']);
    expect(out).toMatch(/2\.00 s become 2\.\d\d s/);
    expect(out).toMatch(/slowed +0\.9\d … 1\.0\d s takes .* times as long: nod is asked for too much (speed|torque)/);
    expect(out).toMatch(/nod .* of 70 deg\/s +\d+ → [56]\d\d of 600 deg\/s²/);
    expect(out).not.toContain('\u001b');
    expect(out.split('\n').length).toBeLessThan(30);
    expect(readFileSync(to, 'utf8')).toMatch(
      /^# whose it is\n# Retimed by posewright for test-owl: .*\nt_s,nod_deg\n0,0\n/,
    );
    const played = JSON.parse((await run(['replay', owl, to, '--json'])).out);
    expect(played).toMatchObject({ ok: true, breaches: [] });
    for (const joint of played.joints) expect(joint).toMatchObject({ limit_ticks: 0 });
  });

  it('answers in JSON alone, every key with its unit', async () => {
    const to = files.path('json.csv');
    const { code, out, err } = await run(['retime', owl, jerky, '-o', to, '--json'], { tty: true });
    expect(code).toBe(0);
    expect(err).not.toContain('{');
    const answer = JSON.parse(out);
    expect(answer).toMatchObject({ ok: true, output: to, scaled: {}, kept: [], seconds_before: 2 });
    expect(Object.keys(answer)).toEqual(expect.arrayContaining(['seconds_after', 'slowed', 'hurried', 'peak_use']));
    const nod = answer.joints.find(({ name }: { name: string }) => name === 'nod');
    expect(nod.after.plus_deg_s2).toBeLessThanOrEqual(600.3);
    expect(nod.limits).toMatchObject({ speed_deg_s: expect.closeTo(70, 6), minus_deg_s2: expect.closeTo(600, 6) });
  });

  it('says both times and the speed peaks, in words, on the page and in JSON, and is as quick as can be if told to', async () => {
    const [to, page] = [files.path('steady.csv'), files.path('steady.html')];
    const order = ['retime', 'tests/data/steady-stork.yaml', 'tests/data/steady-show.csv', '-o', to, '--force'];
    const steady = JSON.parse((await run([...order, '--json'])).out);
    const quickest = JSON.parse((await run([...order, '--json', '--quickest'])).out);
    expect(steady).toMatchObject({ ok: true, pace: 'steady', quickest_s: quickest.seconds_after });
    expect(steady.seconds_after).toBeGreaterThan(steady.quickest_s);
    expect([steady.peaks_before.roll, steady.peaks_after.roll, steady.quickest_peaks.roll]).toEqual([9, 9, 10]);
    expect(quickest).toMatchObject({ ok: true, pace: 'quickest', peaks_after: { roll: 10 } });
    const { out } = await run([...order, '--report', page]);
    for (const text of [out, readFileSync(page, 'utf8')])
      expect(text.replace(/\s+/g, ' ')).toMatch(
        /no speed peaks added: 0\.0\d s longer than the fastest pace \(10\.\d\d s\)/i,
      );
  });

  it('writes a page that stands alone', async () => {
    const [to, page] = [files.path('page.csv'), files.path('page.html')];
    const { code, out } = await run(['retime', owl, jerky, '-o', to, '--report', page]);
    expect(code).toBe(0);
    expect(out.replace(/\s+/g, ' ')).toContain(`${page} shows what was slowed`);
    expect(readFileSync(page, 'utf8')).toMatch(/^<!doctype html>[^]*Where time was stretched[^]*<\/html>/);
    const again = await run(['retime', owl, jerky, '-o', to, '--report', page]);
    expect([again.code, again.err.match(/exists already/g)?.length]).toEqual([2, 2]);
  });

  it('says once that a load is too heavy to hold, of a stream of one frame too, and nothing of torque that is not known', async () => {
    const text = `rig: arm
servos:
  s: { stall_torque_nm: 1, no_load_speed_deg_s: 400, frame_hz: 50, us_per_deg: 10, range_us: [600, 2400], centre_us: 1500 }
joints:
  arm: { servo: s, pin: 2, limit_deg: [-50, 50], speed_deg_s: 100, accel_deg_s2: 1000, load: { mass_kg: 0.6, arm_mm: 150, inertia_kgm2: 0.02 } }
rest: on_stop
audience: bench
`;
    const one = files.put('one.csv', 't_s,arm_deg\n0,0\n');
    const [to, page] = [files.path('one-arm.csv'), files.path('one-arm.html')];
    const heavy = await run(['retime', files.put('arm.yaml', text), one, '-o', to, '--report', page]);
    expect(heavy.code).toBe(1);
    expect(heavy.out).toMatch(/^arm cannot follow .*, and slowing it would not help/);
    expect(heavy.out).toMatch(/now\? +no: the servo of arm gives 88 % where 80 %/);
    expect(heavy.out).not.toMatch(/can follow|stays within|peak speed/);
    expect(readFileSync(page, 'utf8')).not.toContain('could follow as it is');
    const unknown = files.put('unknown.yaml', text.replace('stall_torque_nm: 1', 'stall_torque_nm: unknown'));
    const sway = files.put('sway.csv', 't_s,arm_deg\n0,0\n1,2\n2,0\n');
    const { code, out } = await run(['retime', unknown, sway, '-o', to, '--report', page, '--force']);
    expect(code).toBe(0);
    expect(out).toMatch(/arm .* unknown\n/);
    expect(out).not.toMatch(/\? →|minus and torque/);
    expect(readFileSync(page, 'utf8')).toContain('of its torque is unknown');
  });

  it('says which lids it softened, in words, in JSON and on the page, and with --together softens none', async () => {
    const to = files.path('blink.csv');
    const page = files.path('blink.html');
    const command = ['retime', 'tests/data/lone-stork.yaml', 'tests/data/lone-blink.csv', '-o', to, '--force'];
    const { code, out } = await run([...command, '--report', page]);
    expect(code).toBe(0);
    expect(out).toMatch(/5\.00 s, as before/);
    expect(out).toMatch(/softened +lid_left: 2 moves take longer, using the pauses between them/);
    expect(readFileSync(page, 'utf8').replace(/\s+/g, ' ')).toContain(
      'moves take longer, using the pauses between them',
    );
    const { softened } = JSON.parse((await run([...command, '--json'])).out);
    expect(softened[0]).toMatchObject({ name: 'lid_left', way: 'strokes', strokes: 2, lost_deg: 0 });
    expect(softened[0].moved_s).toBeLessThanOrEqual(0.15);
    const played = JSON.parse((await run(['replay', 'tests/data/lone-stork.yaml', to, '--json'])).out);
    expect(played).toMatchObject({ ok: true, breaches: [] });
    for (const joint of played.joints) expect(joint).toMatchObject({ limit_ticks: 0 });
    const together = JSON.parse((await run([...command, '--together', '--json'])).out);
    expect(together.softened).toEqual([]);
    expect(together.seconds_after).toBeGreaterThan(5.1);
  });

  it('writes what is within limits unchanged', async () => {
    const to = files.path('gentle-owl.csv');
    const { code, out } = await run(['retime', owl, gentle, '-o', to]);
    expect(code).toBe(0);
    expect(out).toContain('can follow');
    const rows = (text: string): number[] =>
      text
        .split('\n')
        .filter((line) => /^\d/.test(line))
        .flatMap((line) => line.split(',').map(Number));
    expect(rows(readFileSync(to, 'utf8'))).toEqual(rows(GENTLE));
  });

  it('keeps beats on their times', async () => {
    const to = files.path('kept.csv');
    const { code, out } = await run(['retime', owl, jerky, '-o', to, '--keep', '1.8']);
    expect(code).toBe(0);
    expect(out).toMatch(/2\.00 s, as before/);
    expect(out).toMatch(/kept +1\.8 s: on time/);
    const late = await run(['retime', owl, jerky, '-o', to, '--keep', '0.97,1.03', '--force']);
    expect(late.code).toBe(1);
    expect(late.out).toMatch(/not kept +1\.03 s comes \d+ ms late/);
  });

  it('says that slower does not help out of reach, and --fit does', async () => {
    const to = files.path('fitted.csv');
    const far = files.put('far.csv', FAR);
    const { code, err } = await run(['retime', owl, far, '-o', to]);
    expect(code).toBe(2);
    expect(err).toMatch(/for \d+ % of the time .* most often because of leg\d: .*--fit/);
    expect(existsSync(to)).toBe(false);
    const fitted = await run(['retime', owl, far, '-o', to, '--fit', '--json']);
    expect(fitted.code).toBe(0);
    expect(JSON.parse(fitted.out).scaled).toEqual({
      z: { scale: expect.any(Number), centre_mm: expect.any(Number), moved_mm: expect.any(Number) },
    });
  });
});

describe('a recording that shakes', () => {
  const head = 'tests/data/head.csv';

  it('is smoothed first, made smaller rather than slower, and both are said with figures', async () => {
    const [to, page] = [files.path('smooth.csv'), files.path('smooth.html')];
    const options = ['--fit', '--smooth', '3', '--tempo', '1.3', '-o', to, '--report', page];
    const { code, out } = await run(['retime', 'host/demo/night-owl.yaml', head, ...options]);
    expect(code).toBe(0);
    const words = out.replace(/\s+/g, ' ');
    expect(words).toMatch(/smoothed low-pass, 3 Hz; removed x [\d.]+ mm, .* and yaw [\d.]+ deg \(root mean square\)/);
    expect(words).toMatch(/tempo 1\.\d\d times as long, 1\.3 allowed/);
    expect(readFileSync(page, 'utf8')).toMatch(/Low-pass, 3\sHz/);
    const json = await run(['retime', 'host/demo/night-owl.yaml', head, ...options, '--force', '--json']);
    expect(JSON.parse(json.out)).toMatchObject({
      smoothed: { cutoff_hz: 3, residual_rms: { yaw_deg: expect.any(Number), x_mm: expect.any(Number) } },
      tempo: { asked: 1.3, share: expect.any(Number) },
    });
  });

  it('is named by replay and by why, with the command that cures it', async () => {
    const played = await run(['replay', 'host/demo/night-owl.yaml', head]);
    expect(played.out.replace(/\s+/g, ' ')).toMatch(/shake from frame to frame.*"posewright retime .* --smooth/);
    const json = JSON.parse((await run(['replay', 'host/demo/night-owl.yaml', head, '--json'])).out);
    expect(json.shaking).toContain('pitch_deg');
    const why = await run(['why', 'host/demo/night-owl.yaml', head, '--symptom', 'buzz', '--json']);
    expect(JSON.parse(why.out).causes.map(({ cause }: { cause: string }) => cause)).toContain('shaking_stream');
    expect((await run(['retime', owl, jerky, '-o', files.path('clean.csv')])).out).not.toContain('noise');
    const calm = JSON.parse((await run(['replay', 'host/demo/night-owl.yaml', 'host/demo/dusk.csv', '--json'])).out);
    expect(calm.shaking).toEqual([]);
  });

  it.each([
    [['--smooth', '0'], /--smooth is "0"; allowed: 0\.2 to 500 Hz/],
    [['--smooth', 'soft'], /--smooth is "soft"/],
    [['--smooth', 'Infinity'], /--smooth is "Infinity"/],
    [['--fit', '--tempo', '1'], /--tempo is "1"; allowed: 1\.01 to 100/],
    [['--fit', '--tempo=-2'], /--tempo is "-2"/],
    [['--tempo', '1.2'], /--tempo .*--fit/],
    [['--fit', '--tempo', '1.2', '--keep', '3'], /--tempo cannot be combined with --keep/],
  ])('refuses %j in words', async (options, words) => {
    const { code, err } = await run(['retime', owl, gentle, '-o', files.path('no.csv'), ...options]);
    expect([code, err.replace(/\s+/g, ' ')]).toEqual([2, expect.stringMatching(words)]);
    expect(existsSync(files.path('no.csv'))).toBe(false);
  });
});

describe('retime refuses in words', () => {
  const cases: [string, string[], RegExp][] = [
    ['no output', [owl, gentle], /-o .*where should the new stream be written/],
    ['an output that is there', [owl, gentle, '-o', jerky], /exists already: --force/],
    ['its own input', [owl, gentle, '-o', gentle, '--force'], /one of the inputs/],
    [
      'a time outside',
      [owl, gentle, '-o', files.path('x.csv'), '--keep', '1,7'],
      /7 s is outside this stream, which runs from 0 to 2 s/,
    ],
    ['its start', [owl, gentle, '-o', files.path('x.csv'), '--keep', '0'], /its start stays anyway/],
    ['no number', [owl, gentle, '-o', files.path('x.csv'), '--keep', '1,soon'], /times in seconds/],
    ['two standard inputs', ['-', '-', '-o', files.path('x.csv')], /only one of the rig and the stream/],
    ['one file for two', [owl, gentle, '-o', files.path('x'), '--report', files.path('x')], /cannot be the same file/],
    ['no such rig', [files.path('none.yaml'), gentle, '-o', files.path('x.csv')], /there is no such file/],
    [
      'a leg asked for by name',
      [owl, files.put('leg.csv', 't_s,leg1_deg\n0,0\n'), '-o', files.path('x.csv')],
      /leg1_deg/,
    ],
  ];
  it.each(cases)('%s', async (_, argv, words) => {
    const { code, out, err } = await run(['retime', ...argv]);
    expect([code, out]).toEqual([2, '']);
    expect(err).toMatch(words);
    expect(existsSync(files.path('x.csv'))).toBe(false);
  });
});

describe('the recorded head on the demo rig', () => {
  it('is out of reach for about as much of the time whoever is asked', async () => {
    const show = ['host/demo/night-owl.yaml', 'tests/data/head.csv'] as const;
    const { err } = await run(['retime', ...show, '-o', files.path('out.csv')]);
    const share = Number(/for (\d+) % of the time it asks for poses out of reach/.exec(err)?.[1]);
    expect(share).toBeGreaterThan(50);
    const there = (await run(['replay', ...show])).out.replace(/\s+/g, ' ');
    // On its way to a pose out of reach the prop is not stopped at once.
    const stopped = Number(/For (\d+) % of the time the prop is stopped short of the pose asked for/.exec(there)?.[1]);
    expect(stopped).toBeGreaterThan(share - 10);
    expect(stopped).toBeLessThanOrEqual(share);
    const { out_of_reach } = JSON.parse((await run(['load', show[0], '--stream', show[1], '--json'])).out);
    // It looks at rates too, for which a tick before and after must be in reach.
    expect(100 * out_of_reach).toBeGreaterThan(share - 1);
    expect(100 * out_of_reach).toBeLessThan(share + 3);
  });

  it('shows no figure above the limit it is within', async () => {
    const to = files.path('head-shown.csv');
    const { out } = await run(['retime', 'host/demo/night-owl.yaml', 'tests/data/head.csv', '-o', to, '--fit']);
    const figures = [...out.matchAll(/→ (\d+) of (\d+)/g)];
    expect(figures.length).toBeGreaterThan(12);
    for (const [words, figure, limit] of figures) expect(Number(figure), words).toBeLessThanOrEqual(Number(limit));
  });

  it('fitted and retimed, replays clean', async () => {
    const to = files.path('head-owl.csv');
    const done = await run(['retime', 'host/demo/night-owl.yaml', 'tests/data/head.csv', '-o', to, '--fit', '--json']);
    expect(done.code).toBe(0);
    expect(readFileSync(to, 'utf8')).toContain('CMU Graphics Lab');
    const { out, code } = await run(['replay', 'host/demo/night-owl.yaml', to, '--json']);
    const played = JSON.parse(out);
    expect(code).toBe(0);
    expect(played).toMatchObject({ ok: true, unreachable: 0, starved: 0, late: 0, breaches: [], stopped_by: [] });
    for (const joint of played.joints) expect(joint.peak_error_deg).toBeLessThan(0.1);
  }, 30_000);
});

it('ends at once where a servo cannot even hold its weight: which, what to change, exit 1, one document, no file', async () => {
  const heavy = files.put('heavy.yaml', OWL.replace('mass_kg: 0.62', 'mass_kg: 62'));
  const nods = files.put('nods.csv', stream(2, { nod_deg: (t_s) => -10 * (1 - Math.cos(Math.PI * t_s)) }));
  const to = files.path('unheld.csv');
  const { code, out, err } = await run(['retime', heavy, nods, '-o', to, '--json']);
  expect(code).toBe(1);
  expect(err).toMatch(/already takes [\d.]+ times all the torque that the servo of \w+ has: slowing does not help/);
  expect(JSON.parse(out)).toMatchObject({ ok: false, problems: [{ severity: 'error' }] });
  expect(existsSync(to)).toBe(false);
});

it('ends where a place would take more than twenty times as long: the limit, what to change, exit 1, no file', async () => {
  const slow = files.put('slow.yaml', OWL.replace('speed_deg_s: 70', 'speed_deg_s: 0.3'));
  const far = files.put('far-nod.csv', stream(2, { nod_deg: (t_s) => -10 * (1 - Math.cos(Math.PI * t_s)) }));
  const { code, err } = await run(['retime', slow, far, '-o', files.path('endless.csv')]);
  expect(code).toBe(1);
  expect(err).toMatch(
    /it would take more than 20 times as long: nod is asked for too much speed\. Nothing was written/,
  );
  expect(err).toMatch(/What helps: raise the speed of nod in the rig file/);
  expect(existsSync(files.path('endless.csv'))).toBe(false);
});
