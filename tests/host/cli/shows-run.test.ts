/** `shows run` and `shows stop`: the board plays one show, and what it does is said until it is over. The board is the simulation with flash. */
import { readFileSync } from 'node:fs';
import { afterAll, beforeAll, describe, expect, it, vi } from 'vitest';
import type * as Targets from '../../../host/cli/targets.ts';
import { packImage } from '../../../host/controller/image.ts';
import { sender } from '../../../host/controller/messages.ts';
import { type Nor, blankNor } from '../../../host/controller/nor.ts';
import { Conversation } from '../../../host/replay/conversation.ts';
import type { Target } from '../../../host/replay/target.ts';
import { readRig } from '../../../host/rig/read.ts';
import { sendNight } from '../../../host/shows/send.ts';
import { simTarget } from '../../../host/targets/sim.ts';
import { nightOwl } from '../shows/rigs.ts';
import { GENTLE, needController, run, scratch, stream } from './fixture.ts';
import { runBefore } from './hardware-on-sim.ts';

needController();
const board = vi.hoisted(() => ({ open: null as null | (() => unknown) }));
vi.mock('../../../host/cli/targets.ts', async (original) => {
  const targets = await original<typeof Targets>();
  return {
    ...targets,
    targetOf: (...given: Parameters<typeof targets.targetOf>) =>
      given[0].startsWith('serial:') ? Promise.resolve(board.open!()) : targets.targetOf(...given),
  };
});

const ON = ['--on', 'serial:/dev/somewhere'];
const files = scratch();
const night = files.path('night.pwshow');
/** Nothing starts by itself, and no idle life, so that a show ends at rest. */
const TEXT = nightOwl('night:\n  light_pin: 18\n  button_pin: 19\n');
const owl = files.put('owl.yaml', TEXT);
const IMAGE = packImage(readRig(TEXT).rig!);
/** Every tick's pulse of the lid, us, since the board was opened. */
let lid: number[] = [];
const sensed = { closed: 0 };
let store: Nor;

/** The board as it starts: limp, with what is in its flash; or so long after its first show was asked for, us. */
function boardTarget(after_us = 0, isAsked = true): Target {
  lid = [];
  const sim = simTarget({
    wasm: new Uint8Array(readFileSync('build/controller.wasm')),
    boot: { image: IMAGE, store },
    sensed: () => ({ closed: sensed.closed, analog: [0, 0, 0, 0] }),
    pulses: (widths) => lid.push(widths[7]!),
  });
  return {
    ...sim,
    name: 'serial:/dev/somewhere',
    proven: 'hardware',
    async open(listener) {
      const session = await sim.open(listener);
      if (after_us > 0) {
        // What is in its flash is known by then.
        await session.advance(1e6);
        if (isAsked) session.write(sender().showRun(0), session.now_us);
        await session.advance(after_us);
      }
      return {
        get now_us() {
          return session.now_us;
        },
        sharesClock: true,
        write: session.write.bind(session),
        // As a line does, it gives the thread back.
        async advance(to_us: number) {
          await session.advance(to_us);
          await new Promise(setImmediate);
        },
        close: session.close.bind(session),
      };
    },
  };
}

beforeAll(async () => {
  const nod = files.put(
    'nod.csv',
    stream(4, { nod_deg: (t) => 2 - 2 * Math.cos(t), lid_deg: (t) => 10 - 10 * Math.cos(t) }),
  );
  const packed = await run(['shows', 'pack', owl, nod, files.put('gentle.csv', GENTLE), '-o', night]);
  expect(packed.code, packed.err).toBe(0);
  store = blankNor({ pages: 64, sectorPages: 4 });
  board.open = boardTarget;
  const talk = await Conversation.open(boardTarget(), { telemetry: () => undefined });
  expect(await sendNight(talk, new Uint8Array(readFileSync(night)))).toBe(0);
}, 60_000);
afterAll(files.remove);

const FILES = ['--night', night, '--rig', owl];

describe('shows run', () => {
  it('says what the board does until the show has ended, and warns for five seconds first', async () => {
    const { code, out } = await run(['shows', 'run', 'nod', ...ON]);
    expect(code, out).toBe(0);
    const lines = out.split('\n').map((line) => /^ +([\d.]+) s {2}(.*)$/.exec(line));
    const at = (words: string): number => Number(lines.find((line) => line?.[2]?.startsWith(words))?.[1]);
    expect(at('it rouses slowly') - at('it warns before it moves')).toBeGreaterThan(4.7);
    expect(at('it goes to its rest') - at('it plays for 4.0 s')).toBeCloseTo(4, 0);
    expect(out).toMatch(/^nod has played to its end\. The prop has settled\.$/m);
    // Of 1500 us at 0 deg, 10 us a degree.
    expect(Math.max(...lid)).toBe(1700);
  });

  it('holds a joint still at home, once the show was checked without it', async () => {
    const { code, out } = await run(['shows', 'run', 'nod', ...ON, '--without', 'lid', ...FILES]);
    expect(code, out).toBe(0);
    expect(out).toMatch(/is asked for nod without lid/);
    expect(new Set(lid.filter((us) => us > 0))).toEqual(new Set([1500]));
  });

  it('names a joint once that is given twice', async () => {
    const { out } = await run(['shows', 'run', 'nod', '--on', 'sim', '--without', 'lid,lid', ...FILES]);
    expect(out).toMatch(/^sim is asked for nod without lid$/m);
  });

  it('draws the log of the run without a board, and overwrites no page unless it is told to', async () => {
    const page = files.path('log.html');
    const argv = ['shows', 'run', 'nod', '--on', 'sim', ...FILES, '--report', page];
    expect(await run(argv)).toMatchObject({
      code: 0,
      err: expect.stringMatching(/^1 warning: posewright check \S+ shows it\n$/) as string,
    });
    const text = readFileSync(page, 'utf8');
    expect(text).toMatch(/<td>it came to rest<[^]*<td>it began to move, for show 1</);
    // Every joint of the ten by its name, and warmth.
    for (const { name } of readRig(TEXT).rig!.joints) expect(text).toContain(`aria-label="${name}: ${name} in deg`);
    const again = await run(argv);
    expect([again.code, again.out, again.err]).toEqual([
      2,
      '',
      expect.stringMatching(/log\.html +this file exists already/),
    ]);
    expect((await run([...argv, '--force'])).code).toBe(0);
  });

  it('plays on the simulation too, which is given the files', async () => {
    const { code, out } = await run(['shows', 'run', '2', '--on', 'sim', ...FILES, '--json']);
    expect(code, out).toBe(0);
    const told = JSON.parse(out) as { phases: { state: string }[] };
    expect(told).toMatchObject({ target: 'sim', show: 'gentle', held: [], whole: true, stopped: false, reasons: [] });
    expect(told.phases.map(({ state }) => state)).toEqual(
      expect.arrayContaining(['warning', 'rousing', 'crossing', 'playing', 'ending', 'ready']),
    );
  });

  it('is stopped by Ctrl-C, and the prop settles', async () => {
    const { code, out } = await runBefore(['shows', 'run', 'nod', ...ON], { interruptsAt: 'it plays' });
    expect(code).toBe(1);
    expect(out).toMatch(/it goes to its rest\n[^]*nod was stopped by you\. The prop has settled\./);
    expect(lid.at(-1)).toBe(0);
  });

  it('moves nothing when Ctrl-C comes while it warns', async () => {
    const { code, out } = await runBefore(['shows', 'run', 'nod', ...ON], { interruptsAt: 'it warns' });
    expect([code, /nod was stopped by you\. Nothing has moved\./.test(out)]).toEqual([1, true]);
    expect(Math.max(...lid)).toBe(0);
  });

  it('says that the button ended it', async () => {
    const { code, out } = await runBefore(['shows', 'run', 'nod', ...ON], {
      sees: (text) => {
        // Input 0 is the button: pressed until the prop goes to its rest.
        sensed.closed = text.includes('it plays') ? 1 : 0;
      },
    });
    expect(code, out).toBe(1);
    expect(out.replaceAll(/\s+/g, ' ')).toMatch(/nod ended early: the button was pressed/);
  });
});

it('is refused at once while the button is held down, with what to do', async () => {
  // Held for long: it counts as stuck.
  board.open = () => boardTarget(5e6, false);
  sensed.closed = 1;
  const { code, out, err } = await run(['shows', 'run', 'nod', ...ON]);
  sensed.closed = 0;
  board.open = boardTarget;
  expect([code, out]).toEqual([2, expect.not.stringContaining('it waits')]);
  expect(err.replaceAll(/\s+/g, ' ')).toMatch(/starts nothing while its button is held down: let it go/);
  expect(Math.max(...lid)).toBe(0);
});

describe('what is refused', () => {
  const other = files.put('other.yaml', TEXT.replace('rod_mm: { value: 120', 'rod_mm: { value: 121'));
  const torn = files.put('torn.pwshow', 'PWN1 and no more');
  it.each([
    ['a show that is not there', ['nood', ...ON], /has no such show: it has nod, gentle/],
    ['a number beyond the last', ['3', ...ON], /has no such show/],
    ['a leg', ['nod', ...ON, '--without', 'leg2', ...FILES], /leg2 is a leg, and all six carry the plate together/],
    [
      'a joint that is none',
      ['nod', ...ON, '--without', 'led', ...FILES],
      /found led, which is no joint of this rig.*nearest: lid/,
    ],
    [
      'no joint',
      ['nod', ...ON, '--without', '', ...FILES],
      /found no name, which is no joint of this rig; allowed: nod, lid, jaw or ears 1 error/,
    ],
    ['joints without the files', ['nod', ...ON, '--without', 'lid'], /needs --night NIGHT\.pwshow and --rig RIG/],
    ['a night without its rig', ['nod', ...ON, '--night', night], /give --night and --rig together/],
    ['the simulation without files', ['nod', '--on', 'sim'], /"sim" keeps no night: give --night/],
    ['native without files', ['nod', '--on', 'native'], /"native" keeps no night: give --night/],
    ['a board without flash', ['nod', '--on', 'emulated:f405', ...FILES], /QEMU does not emulate this chip’s flash/],
    [
      'a file that is no night',
      ['nod', ...ON, '--without', 'lid', '--night', torn, '--rig', owl],
      /this is no night of shows/,
    ],
    ['a night that is not there', ['nod', ...ON, '--night', files.path('none'), '--rig', owl], /no such file/i],
    [
      'a night of another rig',
      ['nod', ...ON, '--without', 'lid', '--night', night, '--rig', other],
      /packed for another rig/,
    ],
    ['a place that is none', ['nod', '--on', 'moon'], /"moon" is not a target/],
    ['a night from standard input', ['nod', ...ON, '--night', '-', '--rig', owl], /not read from standard input/],
  ])('is %s', async (_, argv, words) => {
    const { code, out, err } = await run(['shows', 'run', ...argv]);
    expect(code, out).toBe(2);
    expect(err.replaceAll(/\s+/g, ' ')).toMatch(words);
    expect(out).toBe('');
  });

  it('is a show that its servos cannot do with a joint at home, where they can do the whole of it', async () => {
    // Legs just strong enough where the nod is down, and too weak to push as fast where it is level; the nod has a servo of its own.
    const strong =
      '  strong: { stall_torque_nm: 3, no_load_speed_deg_s: 380, stall_current_a: 2.3, frame_hz: 50, centre_us: 1500, us_per_deg: 10.0, range_us: [600, 2400], rotor_inertia_kgm2: 2.9e-3 }';
    const weak = files.put(
      'weak.yaml',
      TEXT.replace('nod:\n    servo: neck', 'nod:\n    servo: strong')
        .replace('servos:\n', `servos:\n${strong}\n`)
        .replace('stall_torque_nm: 1.9 ', 'stall_torque_nm: 0.33 '),
    );
    const once = (t: number, from: number, length: number, by: number): number =>
      t < from || t > from + length ? 0 : (by * (1 - Math.cos((2 * Math.PI * (t - from)) / length))) / 2;
    const push = files.put(
      'push.csv',
      stream(6, {
        z_mm: (t) => once(t, 2.5, 1, 8),
        nod_deg: (t) => once(t, 0, 6, -25),
        ears_deg: (t) => once(t, 0, 6, 5),
      }),
    );
    const its = files.path('weak.pwshow');
    expect((await run(['shows', 'pack', weak, push, '-o', its])).code).toBe(0);
    const without = (joint: string): ReturnType<typeof run> =>
      run(['shows', 'run', 'push', '--on', 'sim', '--without', joint, '--night', its, '--rig', weak]);
    const { code, err } = await without('nod');
    expect([code, err.replaceAll(/\s+/g, ' ')]).toEqual([
      2,
      expect.stringMatching(/without them push is more than its servos can do\. Will it be smooth\? no: .*torque/),
    ]);
    expect((await without('ears')).code).toBe(0);
  });

  it('is a stop where nothing plays', async () => {
    const { code, err } = await run(['shows', 'stop', ...ON]);
    expect([code, err.replaceAll(/\s+/g, ' ')]).toEqual([2, expect.stringMatching(/plays nothing: its prop rests/)]);
  });
});

it('a replay over the link bears the warning of a board that has a night, and says so', async () => {
  board.open = () => ({ ...boardTarget(1e6, false), proven: 'computer' });
  const { code, out, err } = await run(['replay', owl, files.path('gentle.csv'), ...ON]);
  board.open = boardTarget;
  expect(code, out + err).toBe(0);
  expect(err.replaceAll(/\s+/g, ' ')).toMatch(/it has a night, and warns for 5 s or more before it moves/);
  expect(lid.findIndex((us) => us > 0) / 200).toBeGreaterThan(5);
});

it('shows stop ends what plays, waits for the rest, and says that nothing starts by itself', async () => {
  board.open = () => boardTarget(16e6);
  const { code, out } = await run(['shows', 'stop', ...ON]);
  board.open = boardTarget;
  expect(code).toBe(0);
  expect(out.replaceAll(/\s+/g, ' ')).toMatch(/^stopped: the prop has settled\. Nothing starts by itself until/);
  expect([Math.max(...lid) > 0, lid.at(-1)]).toEqual([true, 0]);
});
