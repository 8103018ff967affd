/** What sticks, triggers and faders move, and by how much. */
import { readFileSync } from 'node:fs';
import { afterEach, describe, expect, it, vi } from 'vitest';
import { readRig } from '../../../host/rig/read.ts';
import { toDeg } from '../../../host/rig/rig.ts';
import { moving } from '../../../host/stage/page/hand/asking.ts';
import { map, poll, listen, openMidi, waiting } from '../../../host/stage/page/input/listening.ts';
import {
  assigned,
  faderOf,
  keptMap,
  livened,
  meant,
  moved,
  padReadings,
  placed,
  rangesOf,
  usualMap,
} from '../../../host/stage/page/input/mapping.ts';
import { handValues, rig, said } from '../../../host/stage/page/state.ts';

const owl = readRig(readFileSync('host/demo/night-owl.yaml', 'utf8')).rig!;
const ranges = rangesOf(owl);
const YAW = 5;
const JAW = 8;

const pad = (axes: number[], buttons: number[]): Pick<Gamepad, 'axes' | 'buttons'> => ({
  axes,
  buttons: buttons.map((value) => ({ value, pressed: value > 0.5, touched: value > 0 })),
});

describe('readings', () => {
  it('have a dead middle, reach their ends, and go on evenly between', () => {
    expect([livened(0), livened(0.1), livened(-0.12), livened(NaN)]).toEqual(
      [0, 0, -0, 0].map((at) => expect.closeTo(at, 12)),
    );
    expect(livened(1)).toBeCloseTo(1, 12);
    expect(livened(-1.02)).toBeCloseTo(-1, 12);
    expect(livened(0.56)).toBeCloseTo(0.5, 12);
  });

  it('put a stick in the middle at home and its ends at the ends, whatever lies between', () => {
    const range = { lo: -1, home: 0.5, hi: 3 };
    const at = (reading: number, isTurned = false): number =>
      placed({ control: 'stick 0', column: 0, isTurned }, reading, range);
    expect([at(-1), at(0), at(1), at(1, true)]).toEqual([-1, 0.5, 3, -1].map((is) => expect.closeTo(is, 9)));
  });

  it('put a trigger from one end to the other, and no further', () => {
    const at = (reading: number, isTurned = false): number =>
      placed({ control: 'button 7', column: JAW, isTurned }, reading, ranges[JAW]!);
    expect([at(0), at(1), at(2), at(NaN), at(0, true)].map((is) => toDeg(is))).toEqual(
      [0, 25, 25, 0, 25].map((is) => expect.closeTo(is, 9)),
    );
  });

  it('come of MIDI control changes alone (MIDI 1.0: 0xB0 to 0xBF, controller, 0 to 127)', () => {
    expect(faderOf([0xb3, 21, 127])).toEqual({ control: 'fader 21', reading: 1 });
    expect(faderOf([0x90, 60, 100])).toBeNull();
    expect(faderOf([0xb0, 7])).toBeNull();
  });
});

describe('a mapping', () => {
  it('moves what has moved, and leaves what lies still to the hand', () => {
    const usual = usualMap(owl);
    const [still, turned] = [padReadings(pad([0, 0, 0, 0], [])), padReadings(pad([0, 0, 1, 0.05], []))];
    expect(moved(usual, still, still, ranges)).toEqual([]);
    expect(moved(usual, still, turned, ranges)).toEqual([[YAW, ranges[YAW]!.hi]]);
    // Back to the middle is a move too.
    expect(moved(usual, turned, still, ranges)).toEqual([[YAW, 0]]);
  });

  it('takes the control that moves furthest, and only one that is meant', () => {
    const still = padReadings(pad([0, 0, 0, 0], [0, 0]));
    expect(meant(still, padReadings(pad([0.3, 0, 0, 0], [0, 0])))).toBeNull();
    expect(meant(still, padReadings(pad([0.6, -0.9, 0, 0], [0, 0])))).toEqual({ control: 'stick 1', isPlus: false });
  });

  it('has one control a column and one column a control', () => {
    const first = assigned([], { control: 'stick 0', column: 1, isTurned: false });
    const second = assigned(first, { control: 'stick 0', column: 2, isTurned: false });
    expect(second).toEqual([{ control: 'stick 0', column: 2, isTurned: false }]);
    expect(assigned(second, { control: 'stick 1', column: 2, isTurned: true })).toEqual([
      { control: 'stick 1', column: 2, isTurned: true },
    ]);
  });
});

describe('what is connected', () => {
  afterEach(() => void vi.unstubAllGlobals());

  it('moves the hand: a stick the yaw, until pressing gives it the jaw; a fader where there is MIDI', async () => {
    let axes = [0, 0, 0, 0];
    const buttons = new Array<number>(8).fill(0);
    const fader: { name: string; onmidimessage: ((event: { data: Uint8Array }) => void) | null } = {
      name: 'box',
      onmidimessage: null,
    };
    vi.stubGlobal('navigator', {
      getGamepads: () => [null, { ...pad(axes, buttons), id: 'a pad', connected: true }],
      requestMIDIAccess: async () => ({ inputs: new Map([['1', fader]]) }),
    });
    vi.stubGlobal('requestAnimationFrame', () => 1);
    vi.stubGlobal('cancelAnimationFrame', () => undefined);
    rig.value = owl;
    listen();
    poll();
    expect(handValues.value).toBeNull();
    axes = [0, 0, -1, 0];
    poll();
    expect(handValues.value![YAW]).toBeCloseTo(ranges[YAW]!.lo, 12);

    axes = [0, 0, 0, 0];
    poll();
    moving.value = waiting.value = JAW;
    poll();
    axes = [0, 0, 1, 0];
    poll();
    expect(waiting.value).toBeNull();
    expect(said.value).toBe('stick 2 moves jaw_deg now');
    expect(map.value.filter(({ control }) => control === 'stick 2')).toEqual([
      { control: 'stick 2', column: JAW, isTurned: false },
    ]);
    axes = [0, 0, 0.7, 0];
    poll();
    expect(handValues.value![YAW]).toBeCloseTo(0, 12);
    expect(handValues.value![JAW]).toBeGreaterThan(0.2);

    await openMidi();
    map.value = assigned(map.value, { control: 'fader 3', column: JAW, isTurned: false });
    fader.onmidimessage!({ data: Uint8Array.of(0xb0, 3, 0) });
    poll();
    fader.onmidimessage!({ data: Uint8Array.of(0xb0, 3, 127) });
    poll();
    expect(handValues.value![JAW]).toBeCloseTo(owl.joints[8]!.hi, 12);
  });
});

it('takes of a kept map what the rig has, and nothing that is no map', () => {
  const one = { control: 'stick 2', column: 5, isTurned: false };
  expect(keptMap([one, { ...one, column: 10 }, { ...one, control: 'x' }, null, 3], 10)).toEqual([one]);
  for (const kept of [null, 'x', {}, [], [{ ...one, column: -1 }], [{ ...one, column: 0.5 }]])
    expect(keptMap(kept, 10)).toBeNull();
});
