/** Faults one by one, each where chance would seldom have it: on the controller of every board with a packed night in its flash. */
import { describe, expect, it } from 'vitest';
import { RESULT } from '../../host/controller/messages.ts';
import { blankNor } from '../../host/controller/nor.ts';
import type { LogRecord } from '../../host/shows/log-frames.ts';
import { NIGHT } from './accounts.ts';
import { Board, STORE } from './board.ts';
import { INPUT_OF, SHOW, type Variant, exhibitOf } from './exhibit.ts';

/** A board with its night, ready. */
async function ready(variant: Variant): Promise<Board> {
  const exhibit = await exhibitOf(variant);
  const board = new Board(exhibit, blankNor(STORE));
  board.seconds(0.5);
  expect(board.sendNight(exhibit.night)).toBe(true);
  board.seconds(2);
  return board;
}

const close = (board: Board, input: number, for_s = 0.3): void => {
  board.set(input, true);
  board.seconds(for_s);
  board.set(input, false);
  board.seconds(0.2);
};
const hold = (board: Board): void => {
  close(board, INPUT_OF.button, 3.3);
  board.mustLook = '';
};
/** The door, warning, rousing, crossing: the show has begun. */
const show = (board: Board): void => {
  close(board, INPUT_OF.door);
  board.seconds(15);
};
const records = (board: Board): LogRecord[] => {
  expect(board.readRecord()).toBe(true);
  return board.takeRecords();
};
/** Until it is too warm for the next show, and rests; the record that says so. */
function cooling(board: Board): LogRecord {
  for (let n = 0; n < 300; n++) {
    board.seconds(1);
    const last = records(board).at(-1);
    if (last?.night === NIGHT.cooling) return last;
  }
  return board.fail('it never cools');
}
/** Kinds and details of this power-on. */
function noted(board: Board): string[] {
  const { events, last } = board.readEvents()!;
  return events.filter(({ boots }) => boots === last.boots).map(({ kind, detail }) => `${kind} ${String(detail)}`);
}
const power = (board: Board, between: () => void = () => undefined): void => {
  board.switchOff();
  between();
  board.closed = 0;
  board.switchOn();
  board.seconds(1);
};

describe('the supply', () => {
  it('may dip for 80 ms: the show goes on', async () => {
    const board = await ready('pins');
    show(board);
    board.supply_mv = 4500;
    board.seconds(0.08);
    board.supply_mv = 6000;
    board.seconds(15);
    expect(noted(board)).toEqual(['power 0', 'started 1', 'stopped 0']);
  });

  it('that falls for 300 ms lays it down; it waits for someone, who goes on', async () => {
    const board = await ready('pins');
    show(board);
    board.supply_mv = 4500;
    board.seconds(0.3);
    board.supply_mv = 6000;
    board.seconds(8);
    close(board, INPUT_OF.door);
    board.seconds(1);
    hold(board);
    show(board);
    board.seconds(20);
    expect(noted(board)).toEqual([
      'power 0',
      'started 1',
      'trip 2',
      'refused 7',
      'cleared 0',
      'started 1',
      'stopped 0',
    ]);
  });
});

describe('a show that is ended, or does not begin', () => {
  const STOPS: readonly [string, Variant, (board: Board) => void, readonly string[]][] = [
    ['over the link while it plays', 'pins', (b) => (show(b), b.settle()), ['started 1', 'stop 1', 'stopped 0']],
    [
      'over the link while it warns',
      'pins',
      (b) => (close(b, INPUT_OF.door), b.settle()),
      ['started 1', 'stop 1', 'stopped 0'],
    ],
    [
      'by the button while it warns',
      'pins',
      (b) => (close(b, INPUT_OF.door), close(b, INPUT_OF.button)),
      ['started 1', 'stop 2', 'stopped 0'],
    ],
    [
      'by the loop while it warns',
      'pins',
      (b) => (close(b, INPUT_OF.door), open(b)),
      ['started 1', 'stop 3', 'stopped 0'],
    ],
    [
      'by the loop, open at rest: nothing starts by itself',
      'loop',
      (b) => (open(b), b.seconds(30)),
      ['stop 3', 'refused 7'],
    ],
  ];
  const open = (board: Board): void => {
    board.stopOpen = true;
    board.seconds(0.5);
    board.stopOpen = false;
  };

  it.each(STOPS)('%s: the log says so', async (_, variant, act, want) => {
    const board = await ready(variant);
    act(board);
    board.seconds(6);
    expect(
      noted(board)
        .filter((line) => line !== 'refused 7' && line !== 'power 0')
        .sort(),
    ).toEqual(want.filter((line) => line !== 'refused 7').toSorted());
  });

  it.each([
    ['the button', (b: Board) => close(b, INPUT_OF.button), 'stop 2'],
    ['the link', (b: Board) => b.settle(), 'stop 1'],
    ['another night', (b: Board) => expect(b.sendNight(b.exhibit.night)).toBe(true), 'stop 1'],
  ] as const)('while it waits to cool, by %s: the log says so', async (_, act, want) => {
    const board = await ready('hot');
    cooling(board);
    act(board);
    board.seconds(1);
    expect(noted(board).slice(-2)).toContain(want);
  });
});

it('an evening with more shows than the log can wait with leaves a clean rest, and the next one starts', async () => {
  const board = await ready('idle');
  board.set(INPUT_OF.foot, true);
  board.seconds(150);
  board.set(INPUT_OF.foot, false);
  board.seconds(10);
  close(board, INPUT_OF.button);
  board.seconds(8);
  const lines = noted(board);
  expect(lines.slice(-2)).toEqual(['stop 2', 'stopped 0']);
  power(board);
  show(board);
  expect(noted(board)).toEqual(['power 0', 'started 1']);
});

describe('flash', () => {
  it('with a flipped bit in a show: that one is refused and told once, the others play', async () => {
    const board = await ready('pins');
    power(board, () => {
      const at = board.exhibit.night.length - 256 + 40;
      const halves = [0, Math.floor((STORE.pages / STORE.sectorPages - 2) / 2) * STORE.sectorPages * 256];
      for (const half of halves) board.store.bytes[half + at]! ^= 4;
    });
    expect(board.runShow(SHOW.hoot)).toBe(RESULT.damaged);
    expect(board.runShow(SHOW.hoot)).toBe(RESULT.damaged);
    show(board);
    board.seconds(15);
    expect(noted(board)).toEqual(['power 0', 'damaged 2', 'started 1', 'stopped 0']);
  });

  it('where power goes in the byte that says it has come to rest: someone must look', async () => {
    const board = await ready('pins');
    show(board);
    board.store.failsAfter = 30;
    board.seconds(15);
    expect(board.power).toBe(false);
    board.store.failsAfter = Infinity;
    power(board);
    close(board, INPUT_OF.door);
    board.seconds(1);
    expect(noted(board)).toEqual(['power 0', 'refused 7']);
    hold(board);
    show(board);
    expect(noted(board)).toEqual(['power 0', 'refused 7', 'cleared 0', 'started 1']);
  });
});

describe('a sensor that is stuck', () => {
  it('closed, and tells by its level: the shows follow each other, and it cools when it must', async () => {
    const board = await ready('hot');
    board.set(INPUT_OF.foot, true);
    const nights = new Set<number>();
    for (let n = 0; n < 10; n++) {
      board.seconds(30);
      for (const { night } of records(board)) nights.add(night);
    }
    expect([NIGHT.playing, NIGHT.cooling].every((night) => nights.has(night))).toBe(true);
  });

  it('closed, and tells by its edge: one show; and none when power comes back', async () => {
    const board = await ready('pins');
    board.set(INPUT_OF.door, true);
    board.seconds(60);
    expect(noted(board)).toEqual(['power 0', 'started 1', 'stopped 0']);
    board.switchOff();
    board.switchOn();
    board.seconds(20);
    expect(noted(board)).toEqual(['power 0']);
  });
});

describe('warmth', () => {
  it('is not forgotten with the power: it begins as warm as the log last had it, and cools', async () => {
    const board = await ready('hot');
    const { warmth } = cooling(board);
    expect(warmth).toBeGreaterThan(0.8);
    power(board);
    expect(cooling(board).warmth).toBeGreaterThan(warmth - 0.1);
    // Again before anything was noted but that power came.
    power(board);
    expect(cooling(board).warmth).toBeGreaterThan(warmth - 0.1);
    board.seconds(90);
    expect(noted(board).some((line) => line.startsWith('started'))).toBe(true);
  });

  it('of what was on its way when power went counts as full', async () => {
    const board = await ready('hot');
    show(board);
    power(board);
    hold(board);
    expect(cooling(board).warmth).toBeGreaterThan(0.9);
  });

  it('of a cold prop is none', async () => {
    const board = await ready('pins');
    power(board);
    show(board);
    expect(noted(board)).toEqual(['power 0', 'started 1']);
  });
});
