/**
 * What a night has at the pins of the emulated pico besides servos: what its converter measures, the warning before motion, a sound that
 * is where the mouth is. On every tick its lines and inputs are also those of the controller in Node (PicoBeside).
 */
import { beforeAll, describe, expect, it, vi } from 'vitest';
import { RESULT } from '../../host/controller/messages.ts';
import { Board } from '../night/board.ts';
import { type Exhibit, PIN, SHOW, exhibitOf } from '../night/exhibit.ts';
import { PICO_STORE, PicoBeside } from '../night/pico-beside.ts';
import { stored } from '../night/stored.ts';
import { firmwareOf, has } from './firmware.ts';

vi.setConfig({ testTimeout: 300_000, hookTimeout: 300_000 });
const FULL = 65535;
const [ADC_V, ADC_COUNTS] = [3.3, 4096];
/** tests/night/exhibit.ts: jaw_deg 8 - 8 cos(4 t) is widest at pi / 4 s; heard at 1 s, its line 120 ms before, for 300 ms. */
const [WIDEST_S, HEARD_S, LEAD_S, SOUND_S] = [Math.PI / 4, 1, 0.12, 0.3];
const [FRAME_S, TICK_S] = [0.02, 0.005];

interface Edge {
  readonly pin: number;
  readonly high: boolean;
  readonly at_s: number;
}

describe.skipIf(!has('arm-none-eabi-gcc'))('the pins of the pico', () => {
  const edges: Edge[] = [];
  let exhibit: Exhibit;
  let beside: PicoBeside;
  let board: Board;

  beforeAll(async () => {
    exhibit = await exhibitOf('sensed');
    const store = stored(exhibit, PICO_STORE);
    beside = new PicoBeside(firmwareOf('pico'), exhibit, store, {
      edge: (pin, high, at_us) => edges.push({ pin, high, at_s: at_us / 1e6 }),
    });
    board = new Board(exhibit, store, beside);
    board.seconds(0.6);
  });

  const first = (pin: number, high: boolean, from_s = 0): number =>
    edges.find((edge) => edge.pin === pin && edge.high === high && edge.at_s > from_s)?.at_s ?? NaN;

  it('an analog one: its voltage as a share of 3.3 V, beside the supply', () => {
    for (const volts of [0, 0.001, 0.4, 1.65, 2.9, 3.299, 3.3, 5]) {
      board.volts = [volts];
      board.supply_mv = 5200 + 200 * volts;
      board.seconds(0.03);
      // Rounded to half a count, and 4095 counts are stretched to the whole.
      expect(Math.abs(beside.analog(0) / FULL - Math.min(1, volts / ADC_V))).toBeLessThanOrEqual(1.5 / ADC_COUNTS);
    }
    board.supply_mv = 6000;
    board.seconds(0.03);
    expect(beside.analog(0)).toBe(FULL);
  });

  it('the warning is on for 5 s, and no servo has a pulse before its end; the sound is where the jaw is', () => {
    const from_s = beside.machine.now_us / 1e6;
    expect(board.runShow(SHOW.hoot)).toBe(RESULT.done);
    board.seconds(14.5);
    const [on_s, off_s] = [first(PIN.warn, true, from_s), first(PIN.warn, false, from_s)];
    expect(Math.abs(off_s - on_s - 5)).toBeLessThanOrEqual(TICK_S + 1e-4);
    const servos = exhibit.rig.joints.map(({ pin }) => pin);
    const pulse_s = Math.min(...servos.map((pin) => first(pin, true, from_s)));
    expect(pulse_s - on_s).toBeGreaterThanOrEqual(5);
    // The tick that begins it, and the servo frame under way.
    expect(pulse_s - on_s).toBeLessThan(5 + TICK_S + 2 * FRAME_S);
    // Lit while it warns, dark while it moves.
    expect(Math.abs(first(PIN.light, false, on_s) - off_s)).toBeLessThan(1e-3);

    const [sound_s, silence_s] = [first(PIN.hoot, true, from_s), first(PIN.hoot, false, from_s)];
    expect(silence_s - sound_s).toBeCloseTo(SOUND_S, 3);
    const jaw = exhibit.rig.joints.find(({ name }) => name === 'jaw')!.pin;
    const own = edges.filter(({ pin, at_s }) => pin === jaw && at_s > sound_s - 0.5 && at_s < sound_s + 0.5);
    const widths = own.flatMap((edge, i) =>
      edge.high && own[i + 1] ? [{ at_s: edge.at_s, width_s: own[i + 1]!.at_s - edge.at_s }] : [],
    );
    const shut = widths.at(-1)!.width_s;
    const far = Math.max(...widths.map(({ width_s }) => Math.abs(width_s - shut)));
    const open = widths.filter(({ width_s }) => Math.abs(width_s - shut) > far - 2e-6);
    const widest_s = open.reduce((sum, { at_s }) => sum + at_s, 0) / open.length;
    const apart_s = sound_s + LEAD_S - widest_s - (HEARD_S - WIDEST_S);
    process.stdout.write(
      `${JSON.stringify({ warned_s: off_s - on_s, first_pulse_s: pulse_s - on_s, sound_apart_s: apart_s })}\n`,
    );
    expect(Math.abs(apart_s)).toBeLessThan(0.04);
  });
});
