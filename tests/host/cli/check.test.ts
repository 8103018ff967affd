import { afterAll, describe, expect, it } from 'vitest';
import { OWL, run, scratch } from './fixture.ts';

const files = scratch();
afterAll(() => {
  files.remove();
});
const LOOKING = OWL.replace(
  'playback_delay_ms: 80',
  'playback_delay_ms: 215, look_ahead_ms: 155'.replace(', ', '\n  '),
);
const owl = files.put('owl.yaml', LOOKING);

describe('check', () => {
  it('sums up a rig that is right', async () => {
    const { code, out, err } = await run(['check', owl]);
    expect(err).toBe('');
    expect(code).toBe(0);
    for (const words of ['test-owl', 'leg6', '0.73 kg on moving', 'the unknown frame', 'servos.neck.stiffness_nm_rad'])
      expect(out).toContain(words);
    expect(out).not.toContain('\u001b');
  });

  it('says what the night is, what starts its shows, and on which pins', async () => {
    const { code, out } = await run(['check', 'host/demo/night/night-owl.yaml']);
    expect(code).toBe(0);
    expect(out.replaceAll(/\s+/g, ' ')).toContain(
      'night shows dusk and startle; started by a schedule of 1 start and step, which a visitor closes (startle) pins: light 18, warning 22, input step 27, button 19, sound hoot 26 ',
    );
    expect((await run(['check', owl])).out).not.toMatch(/^night /m);
  });

  it('says how a battery is wired for the board to see it, or that the board cannot', async () => {
    const battery = (kind: string): string =>
      files.put(
        `${kind}.yaml`,
        `${LOOKING}supply: { kind: battery, voltage_v: 7.4, cells: 2, low_v: 6.4, fuse_a: 10 }\nboard: { kind: ${kind}, stop: { pin: 18 }, power_pin: 19 }\n`,
      );
    const { out, err } = await run(['check', battery('pico')]);
    expect(err).toBe('');
    const words = out.replace(/\s+/g, ' ');
    expect(words).toContain('supply below 6.4 V for 0.1 s the controller settles the prop, then switches it off.');
    expect(words).toContain(
      '10 kΩ from the servos’ supply, before any power switch, to GPIO 28, and 2.2 kΩ and 100 nF',
    );
    const blind = await run(['check', battery('f405'), '--json']);
    expect(JSON.parse(blind.out)).toMatchObject({
      ok: true,
      problems: [
        {
          path: 'supply.low_v',
          severity: 'warning',
          message: expect.stringMatching(/nothing settles the prop when it runs low/),
        },
      ],
      summary: { supply_watch: null },
    });
  });

  it('tells what a board has no switch for, and no other command does', async () => {
    const bare = files.put('bare-board.yaml', `${LOOKING}board: { kind: pico }\n`);
    const checked = await run(['check', bare]);
    expect(checked.code).toBe(0);
    expect(checked.err).toContain('board.stop  warning: is not given: only the host, or the plug, can stop this prop');
    expect(checked.err).toContain('board.power_pin  warning: is not given');
    const solved = await run(['solve', bare, '--pose', '0,0,1,0,0,0']);
    expect([solved.code, solved.err]).toEqual([0, '']);
  });

  it('reads standard input', async () => {
    const { code, out } = await run(['check', '-'], { stdin: OWL });
    expect(code).toBe(0);
    expect(out).toContain('standard input');
  });

  it('gives the same as one JSON document', async () => {
    const { code, out, err } = await run(['check', owl, '--json']);
    expect([code, err]).toEqual([0, '']);
    const { ok, problems, summary } = JSON.parse(out);
    expect([ok, problems]).toEqual([true, []]);
    expect(summary.masses).toEqual([
      { on: 'moving', kg: 0.73, unknown: [] },
      { on: 'nod', kg: 0, unknown: ['frame'] },
    ]);
    expect(summary.no_pose_speed).toEqual(['y_mm', 'z_mm', 'roll_deg', 'pitch_deg']);
    const nod = summary.joints.find((joint: { name: string }) => joint.name === 'nod');
    // 1500 us + 10 us/deg at the servo, times a gear of 3: -20 deg is 600 us less.
    expect(nod).toMatchObject({ pin: 8, min_deg: expect.closeTo(-28), limit_deg_s: expect.closeTo(70), rest_us: 900 });
    expect(summary.unsure).toContainEqual({
      path: 'servos.neck.rotor_inertia_kgm2',
      from: 'assumed',
      within_percent: null,
    });
  });

  it('tells every mistake at once, with its line, and does not list the rig', async () => {
    const bad = files.put('bad.yaml', OWL.replace('crank_mm: 22', 'crank_m: 22').replace('pin: 9', 'pin: nine'));
    const { code, out, err } = await run(['check', bad]);
    expect([code, out]).toEqual([2, '']);
    expect(err).toMatch(/bad\.yaml:8 .*crank_m/);
    expect(err).toMatch(/bad\.yaml:\d+ .*lid\.pin/);
    expect(err).toMatch(/\d+ errors/);
    const json = JSON.parse((await run(['check', bad, '--json'])).out);
    expect(json).toMatchObject({ ok: false, summary: null });
    expect(json.problems.length).toBeGreaterThanOrEqual(2);
  });

  it('prints the schema of rig files', async () => {
    const { code, out } = await run(['check', '--schema']);
    expect(code).toBe(0);
    expect(JSON.parse(out)).toMatchObject({ $schema: expect.stringContaining('json-schema.org') });
  });

  it.each([
    ['a missing file', () => files.path('nowhere.yaml'), 'no such file'],
    ['a folder', () => files.path('.'), 'a folder'],
    ['an empty file', () => files.put('empty.yaml', ''), 'empty.yaml'],
    ['no YAML', () => files.put('torn.yaml', 'rig: [1, {'), 'torn.yaml'],
    ['YAML that is no rig', () => files.put('list.yaml', '- 1\n- 2\n'), 'list.yaml'],
    [
      'bytes that are no text',
      () => files.put('odd.yaml', Buffer.from([0xff, 0xfe, 0x00]) as unknown as string),
      'UTF-8',
    ],
  ])('refuses %s in words', async (_, make, words) => {
    const path = make();
    const { code, out, err } = await run(['check', path]);
    expect([code, out]).toEqual([2, '']);
    expect(err).toContain(words);
    expect(err).not.toContain('fault;');
    const json = await run(['check', path, '--json']);
    expect(JSON.parse(json.out)).toMatchObject({ ok: false, summary: null });
  });

  it('sums up what its servos give, a torque in N·m and in kgf·cm', async () => {
    const { out } = await run(['check', owl]);
    expect(out).toMatch(/servos +neck: 1\.90 N·m \(19\.4 kgf·cm\) stall torque, 380 deg\/s no-load speed/);
    const { summary } = JSON.parse((await run(['check', owl, '--json'])).out) as { summary: { servos: unknown[] } };
    expect(summary.servos[0]).toMatchObject({
      name: 'neck',
      joints: expect.arrayContaining(['leg1', 'nod']),
      stall_torque_nm: 1.9,
      // 1 kgf·cm = 0.0980665 N·m.
      stall_torque_kgfcm: expect.closeTo(1.9 / 0.0980665, 9),
    });
  });

  it('says which joints cannot stop within the look-ahead, and what to set for a recorded show', async () => {
    const short = files.put('short.yaml', OWL);
    const { code, out, err } = await run(['check', short]);
    expect(code).toBe(0);
    expect(out.replace(/\s+/g, ' ')).toContain(
      'played 80 ms late: 40 ms of look-ahead, 40 ms so that late frames still count',
    );
    const words = err.replace(/\s+/g, ' ');
    // 220 deg/s over 1500 deg/s²: 147 ms, 30 ticks of 5 ms with the one that is more.
    expect(words).toMatch(/short\.yaml:\d+ .*the legs, nod and lid take up to 147 ms and a tick to stop/);
    expect(words).toContain('set look_ahead_ms: 150 and playback_delay_ms: 190');
    const set = OWL.replace('playback_delay_ms: 80', 'playback_delay_ms: 190\n  look_ahead_ms: 150');
    expect((await run(['check', files.put('set.yaml', set)])).err).toBe('');
  });

  it('asks which rig', async () => {
    const { code, err } = await run(['check']);
    expect(code).toBe(2);
    expect(err).toContain('which rig');
  });
});
