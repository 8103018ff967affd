/**
 * Evenings without faults, on the controller of every board with a packed night in its flash: what comes when is checked against the
 * plan, and what the joints do against the frames that were packed.
 */
import { describe, expect, it } from 'vitest';
import { POSE, STEP } from '../../host/shows/layout.ts';
import { RESULT, STATES } from '../../host/controller/messages.ts';
import { toDeg } from '../../host/rig/rig.ts';
import { Accounts, NIGHT, Sums } from './accounts.ts';
import { Board } from './board.ts';
import { type Exhibit, INPUT_OF, LINE_OF, SHOW, type Variant, exhibitOf } from './exhibit.ts';

const NOD = 6;

interface Evening {
  readonly board: Board;
  readonly accounts: Accounts;
  readonly exhibit: Exhibit;
  /** Tick by tick, from the door on: lines, how many joints have pulses, state, where the nod stands (deg). */
  readonly lines: number[];
  readonly pulsing: number[];
  readonly states: string[];
  readonly nod_deg: number[];
}

/** A board with its night, ready; then what `act` does and `for_s` more. */
async function evening(variant: Variant, act: (board: Board) => void, for_s: number): Promise<Evening> {
  const exhibit = await exhibitOf(variant);
  const board = new Board(exhibit);
  board.seconds(0.5);
  expect(board.sendNight(exhibit.night)).toBe(true);
  board.seconds(3);
  const [lines, pulsing, states, nod_deg]: [number[], number[], string[], number[]] = [[], [], [], []];
  board.tellAll((t) => {
    lines.push(board.controller.lines);
    pulsing.push(board.controller.pulses.filter((us) => us > 0).length);
    states.push(STATES[t.state]!);
    nod_deg.push(toDeg(t.position[NOD]!));
  });
  act(board);
  board.seconds(for_s);
  expect(board.readRecord()).toBe(true);
  const accounts = new Accounts(exhibit, new Sums());
  accounts.record(board.takeRecords());
  return { board, accounts, exhibit, lines, pulsing, states, nod_deg };
}

/** The night's phases, each once. */
const phasesOf = ({ accounts }: Evening): number[] => accounts.phases.map(({ night }) => night);
const firstOf = (list: readonly number[], is: (x: number) => boolean): number => list.findIndex(is);

/** How far the nod is at most from the packed frames, deg, if it comes so many ticks after them. */
function apart({ exhibit, nod_deg }: Evening, from: number): number {
  const { frames } = exhibit.shows[SHOW.nod]!;
  const column = frames.places.indexOf(POSE + NOD);
  let most = 0;
  for (let frame = 0; frame < frames.count; frame++)
    most = Math.max(
      most,
      Math.abs(nod_deg[from + 4 * frame]! - frames.steps[frame * frames.places.length + column]! * STEP),
    );
  return most;
}

describe('a door that is closed', async () => {
  const door = await evening(
    'pins',
    (board) => {
      board.set(INPUT_OF.door, true);
      board.seconds(0.2);
      board.set(INPUT_OF.door, false);
    },
    30,
  );
  const { board, lines, pulsing, states } = door;
  const warned = firstOf(lines, (on) => (on & LINE_OF.warn) !== 0);
  const moved = firstOf(pulsing, (n) => n > 0);

  it('leads through warning, rousing, crossing and the show to the rest, and to nothing else', () => {
    expect(phasesOf(door).slice(-7)).toEqual([
      NIGHT.warning,
      NIGHT.rousing,
      NIGHT.crossing,
      NIGHT.playing,
      NIGHT.idle,
      9,
      NIGHT.ready,
    ]);
    expect(states.at(-1)).toBe('limp');
  });

  it('is debounced for 50 ms, then warned of for five seconds with light and line, then pulses begin one by one', () => {
    expect(warned).toBeGreaterThanOrEqual(10);
    expect(warned).toBeLessThan(16);
    expect(moved - warned).toBeGreaterThan(5 * board.hz);
    expect(moved - warned).toBeLessThan(5 * board.hz + 5);
    expect(lines.slice(warned, moved - 1).every((on) => on === LINE_OF.light + LINE_OF.warn)).toBe(true);
    expect(pulsing.every((n, i) => n - (pulsing[i - 1] ?? 0) <= 1)).toBe(true);
    // 400 ms for each of ten joints.
    expect(firstOf(pulsing, (n) => n === 10) - moved).toBeGreaterThanOrEqual(9 * 0.4 * board.hz);
    // Dark and silent while it moves.
    expect(lines.slice(moved, pulsing.lastIndexOf(10)).every((on) => on === 0)).toBe(true);
  });

  it('is answered by the frames that were packed, all of them, at one pace', () => {
    const began = states.indexOf('live');
    const best = Math.min(...Array.from({ length: 6 * board.hz }, (_, k) => apart(door, began + k)));
    expect(best).toBeLessThan(0.12);
  });

  it('leaves power, start and stop in the log, whose sector was erased once', () => {
    const log = board.readEvents()!;
    expect(log.events.map(({ kind, detail }) => `${kind} ${String(detail)}`)).toEqual([
      'power 0',
      `started ${String(SHOW.nod)}`,
      'stopped 0',
    ]);
    expect(log).toMatchObject({ torn: 0, last: { boots: 1, wear: 1 } });
  });

  it('finds it ready again: two blinks in four and a half seconds', () => {
    const rest = lines.slice(-900).map((on) => on & LINE_OF.light);
    expect(rest.filter((on, i) => on && !rest.at(i - 1))).toHaveLength(2);
  });
});

it('a sound’s line is on for its 300 ms, from 120 ms before the second of the show at which it is heard', async () => {
  const { board, lines, accounts } = await evening(
    'pins',
    (prop) => expect(prop.runShow(SHOW.hoot)).toBe(RESULT.done),
    20,
  );
  const on = lines.flatMap((its, i) => ((its & LINE_OF.hoot) !== 0 ? [i] : []));
  expect(on).toHaveLength(0.3 * board.hz);
  const began_s = accounts.phases.find(({ night }) => night === NIGHT.playing)!.from_s;
  // The record is ten a second; what is played comes out a look-ahead of 150 ms later.
  const at_s = (board.age - lines.length + on[0]!) / board.hz;
  expect(at_s - began_s - 0.15).toBeGreaterThan(0.88 - 0.12);
  expect(at_s - began_s - 0.15).toBeLessThan(0.88 + 0.12);
});

it('between shows it lives, goes from one to the next without the rest, and a press of the button lays it down', async () => {
  const idle = await evening(
    'idle',
    (board) => {
      board.set(INPUT_OF.foot, true);
      board.seconds(0.2);
      board.set(INPUT_OF.foot, false);
      board.seconds(24);
      board.set(INPUT_OF.door, true);
      board.seconds(0.2);
      board.set(INPUT_OF.door, false);
      board.seconds(14);
      board.set(INPUT_OF.button, true);
      board.seconds(0.2);
      board.set(INPUT_OF.button, false);
    },
    6,
  );
  const { warning, rousing, crossing, playing, ready } = NIGHT;
  expect(phasesOf(idle).slice(-10)).toEqual([
    warning,
    rousing,
    crossing,
    playing,
    NIGHT.idle,
    crossing,
    playing,
    NIGHT.idle,
    9,
    ready,
  ]);
  expect(idle.board.watched.motions).toBe(1);
  const events = idle.board.readEvents()!.events.map(({ kind, detail }) => `${kind} ${String(detail)}`);
  expect(events).toEqual(['power 0', 'started 0', 'started 1', 'stop 2', 'stopped 0']);
});
