/** What the page keeps of the board's telemetry: how the prop stands, and the course of the take by column, in memory that is bounded. */
import { readFileSync } from 'node:fs';
import { expect, it } from 'vitest';
import { inverse } from '../../../host/physics/kinematics/inverse.ts';
import { readRig } from '../../../host/rig/read.ts';
import { type Pose, toRad } from '../../../host/rig/rig.ts';
import type { BoardSays } from '../../../host/stage/line-words.ts';
import { BoardDelivered, ROOM } from '../../../host/stage/page/board/delivered.ts';
import { boardSentence } from '../../../host/stage/page/board/words.ts';

const owl = readRig(readFileSync('host/demo/night-owl.yaml', 'utf8')).rig!;
const nod = owl.joints.findIndex(({ name }) => name === 'nod');

/** What a board would say that stands exactly at a yaw and a nod. */
function says(told_s: number | null, yaw_deg: number, nod_deg: number, more: Partial<BoardSays> = {}): BoardSays {
  const pose: Pose = [0, 0, 0, 0, 0, toRad(yaw_deg)];
  const position = [...inverse(owl.platform!, pose)!, ...owl.joints.slice(6).map(({ home }) => home)];
  position[nod] = toRad(nod_deg);
  const base = {
    said: 'board',
    state: 'live',
    trip: null,
    follows: 'take',
    take: 'bow.csv',
    night: null,
    moves_in_s: null,
    slow: null,
    late: 0,
  } as const;
  return { ...base, take_s: told_s, told_s, position, pulse_us: position.map(() => 1500), ...more };
}

it('is what the take asked, by column, where the board stands exactly there', () => {
  const board = new BoardDelivered(owl);
  for (let n = 0; n <= 100; n++) board.push(says(n / 50, 5 * Math.sin(n / 20), n / 10));
  expect(board.course('nod_deg', 0, 2)).toHaveLength(101);
  for (const [t_s, value] of board.course('nod_deg', 0, 2)) expect(value).toBeCloseTo(5 * t_s, 4);
  for (const [t_s, value] of board.course('yaw_deg', 0.5, 1.5)) expect(value).toBeCloseTo(5 * Math.sin(2.5 * t_s), 3);
  expect(board.course('yaw_deg', 0.5, 1.5)).toHaveLength(51);
  expect(board.course('nothing_deg', 0, 2)).toEqual([]);
});

it('is kept once where telemetry did not come anew, begins anew with the next play, and not before the take runs', () => {
  const board = new BoardDelivered(owl);
  board.push(says(null, 0, 3));
  expect(board.count).toBe(0);
  for (const t_s of [1, 1.02, 1.02, 1.04]) board.push(says(t_s, 0, 3));
  expect(board.course('nod_deg', 0, 9).map(([t_s]) => t_s)).toEqual([1, 1.02, 1.04]);
  board.push(says(null, 0, 3, { follows: 'hand', take: null }));
  expect(board.count).toBe(3);
  board.push(says(0, 0, 1));
  expect(board.course('nod_deg', 0, 9)).toHaveLength(1);
  board.push(says(5, 0, 1, { take: 'other.csv' }));
  expect([board.take, board.course('nod_deg', 0, 9).length]).toEqual(['other.csv', 1]);
});

it('begins anew where telemetry goes on from further on: no line joins two plays', () => {
  const board = new BoardDelivered(owl);
  for (const told_s of [0, 0.02, 3]) board.push(says(told_s, 5, 2));
  expect(board.count).toBe(1);
  expect(board.course('nod_deg', 0, 4).map(([t_s]) => t_s)).toEqual([3]);
});

it('forgets the oldest of a long take, and draws no more points than are asked for', () => {
  const board = new BoardDelivered(owl);
  const all = ROOM + 1000;
  for (let n = 0; n < all; n++) board.push(says(n / 50, 0, n / 1000));
  expect(board.course('nod_deg', 0, all / 50, ROOM)[0]![0]).toBeCloseTo(1000 / 50, 6);
  expect(board.course('nod_deg', 0, all / 50, ROOM)).toHaveLength(ROOM);
  const few = board.course('nod_deg', 0, all / 50);
  expect(few.length).toBeLessThanOrEqual(800);
  for (const [t_s, value] of few) expect(value).toBeCloseTo((t_s * 50) / 1000, 3);
});

it('stands as the board does, and nowhere while the board is limp', () => {
  const board = new BoardDelivered(owl);
  expect(board.push(says(null, 4, 2))!.pose![5]).toBeCloseTo(toRad(4), 4);
  expect(board.push(says(null, 4, 2))!.coordinates[nod]).toBeCloseTo(toRad(2), 9);
  expect(board.push(says(null, 4, 2, { state: 'limp' }))).toBeNull();
});

it.each([
  [{ follows: 'take' }, true, 'the board: following the take'],
  [{ follows: 'hand' }, true, 'the board: following your hand'],
  [
    { follows: 'hand' },
    false,
    'the board: following the hand of the page that drives; another page drives, this one watches',
  ],
  [{ follows: 'take' }, false, 'the board: following the take; another page drives, this one watches'],
  [{ state: 'settling', follows: 'nothing' }, true, 'the board: going to its rest'],
  [{ state: 'holding', follows: 'nothing' }, true, 'the board: holding still: nothing new comes'],
  [{ state: 'tripped', follows: 'nothing', trip: 'late ticks' }, true, 'the board: given up, since late ticks'],
] as const)('says %j, driven here: %s', (more, drives, words) => {
  expect(boardSentence(says(null, 0, 0, more), drives)).toBe(words);
});
