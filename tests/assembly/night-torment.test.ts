/**
 * A night under torment: random pins, buttons, stop loop, supply, link commands and bytes, for simulated hours. Whatever comes, no pulse is
 * out of range, nothing moves from rest without its warning, and nothing is shown after a dirty stop before someone has cleared it.
 */
import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus';
import { describe, expect, it } from 'vitest';
import { TYPE } from '../../host/controller/messages.ts';
import { toRad } from '../../host/rig/rig.ts';
import { off } from './guarded.ts';
import { BUTTON, FLAG, KIND, LINE, NightProp, START } from './night-bench.ts';
import { rigOf } from './rigs.ts';

const HOURS = Number(process.env['TORMENT_HOURS'] ?? 0.5);
const swing = [6, 5, 0, 0, 0.05, 0, 0, 0, 0, 0, 0, 0, toRad(15), toRad(50)];
const SHOWS = [
  { frames: 300, pin: 0, swing },
  { frames: 500, pin: 1, flags: START.unattended, base: [5, 0, 0, 0, 0.05], warmest: 12 },
  { frames: 200, pin: 2, flags: START.level | START.unattended, swing },
  { frames: 400, pin: 3, flags: START.inverted | START.unattended, sound: { at_ms: -300, for_ms: 500 } },
];
const PLAN = {
  flags: FLAG.barrier | FLAG.loop | FLAG.idle,
  pause_s: 20,
  warn_ms: 2000,
  cross_ms: 400,
  perTau: 1 / 120,
  hold: 0.3,
  look: [1, 1, 1, 0.02, 0.02, 0.02],
  lid: { joint: 7, shut: toRad(50) },
};

function torment(
  seed: number,
  stopCategory: 0 | 1 | 2,
  ahead_ms: number,
): { shows: number; dirty: number; motions: number } {
  const random = xoroshiro128plus(seed);
  for (let n = 0; n < 32; n++) random.next();
  const below = (n: number): number => (random.next() >>> 0) % n;
  const prop = new NightProp(SHOWS, PLAN, rigOf({ stopCategory, low_v: 6, ahead_ms, delay_ms: 160, hold_s: 3 }));
  prop.tell(prop.send.report(0));
  prop.set('heat', 0.6);
  let [warned, was_off, stop_left, low_left, motions, shows, dirty] = [0, true, 0, 0, 0, 0, 0];
  let barred = false;
  let notes = 0;
  const ranges = prop.rig.joints.map(({ range_us }) => range_us);
  const commands = [TYPE.rouse, TYPE.settle, TYPE.stop, TYPE.pause, TYPE.clear];
  const act = (): void => {
    switch (below(12)) {
      case 0:
        prop.close(BUTTON, below(2) === 0);
        break;
      case 1:
        if (below(6) === 0) stop_left = below(600);
        break;
      case 2:
        if (below(10) === 0) low_left = below(100);
        break;
      case 3:
        if (below(5) === 0) prop.tell(prop.send.command(commands[below(commands.length)]!));
        break;
      case 4:
        prop.tell(Uint8Array.from({ length: below(12) }, () => below(256)));
        break;
      case 5:
        prop.pose(
          below(200_000),
          Array.from({ length: 8 }, () => below(20) - 10),
        );
        break;
      case 6:
        if (below(5) === 0) {
          const still = below(4) << 6;
          prop.tell(below(4) ? prop.send.showRun(below(5), still) : prop.send.command(TYPE.showStop));
        }
        break;
      default:
        prop.close(below(4), below(2) === 0);
    }
  };
  for (let n = 0; n < HOURS * 3600 * prop.hz; n++) {
    // Calm minutes lie between wild ones, or nothing would ever be played.
    if (below((n >> 13) & 1 ? 12 : 1000) === 0) act();
    if (stop_left) stop_left -= 1;
    if (low_left) low_left -= 1;
    prop.controller.setStop(stop_left > 0);
    prop.controller.setMeasured({ supply_mv: low_left ? 4000 : 7400 });
    prop.run(1);

    for (const [i, us] of prop.controller.pulses.entries()) {
      const range = ranges[i];
      if (us !== 0 && !(range && us >= range[0] && us <= range[1]))
        throw new Error(`seed ${String(seed)}, tick ${String(n)}: pulse ${String(us)}`);
    }
    const is_off = off(prop);
    if (was_off && !is_off) {
      motions += 1;
      if (!(warned >= 2 * prop.hz))
        throw new Error(`seed ${String(seed)}, tick ${String(n)}: moved after ${String(warned)} ticks of warning`);
    }
    warned = prop.on(LINE.warn) ? warned + 1 : 0;
    was_off = is_off;

    const { night } = prop;
    for (; notes < prop.get('notes'); notes++) {
      const [kind, detail] = [prop.view.getUint8(prop.noteAt(notes)), prop.view.getUint8(prop.noteAt(notes) + 1)];
      if (kind === KIND.cleared) barred = false;
      if (kind === KIND.stop && detail === 0) {
        barred = true;
        dirty += 1;
      }
      if (kind === KIND.started && detail !== 255) {
        shows += 1;
        if (barred) throw new Error(`seed ${String(seed)}, tick ${String(n)}: a show after a dirty stop`);
      }
    }
    if (barred && ['warning', 'rousing', 'crossing', 'playing', 'idle'].includes(night) && prop.get('show') !== 255)
      throw new Error(`seed ${String(seed)}, tick ${String(n)}: ${night} after a dirty stop`);
    // The guard trips at the end of a tick; the night sees it on the next.
    if (prop.state === 'tripped') barred = true;
  }
  return { shows, dirty, motions };
}

describe(`${String(HOURS)} h of torment`, () => {
  it.each([
    [1, 0, 0],
    [2, 1, 0],
    [3, 1, 150],
    [4, 2, 150],
  ] as const)('seed %d, stop category %d, %d ms ahead', (seed, category, ahead_ms) => {
    const { shows, dirty, motions } = torment(seed, category, ahead_ms);
    expect(shows).toBeGreaterThan(5);
    expect(dirty).toBeGreaterThan(1);
    expect(motions).toBeGreaterThan(5);
  });
});
