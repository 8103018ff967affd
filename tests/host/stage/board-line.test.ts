/** The server's line to a board, on the simulated controller: who drives, what silence does, and that a page that leaves settles the prop. */
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, expect, it } from 'vitest';
import { TargetError } from '../../../host/replay/conversation.ts';
import type { Target } from '../../../host/replay/target.ts';
import { toRad } from '../../../host/rig/rig.ts';
import { simTarget } from '../../../host/targets/sim.ts';
import { WASM } from '../../assembly/prop.ts';
import { Desk, owl } from './desk.ts';
import { overheard } from './overheard.ts';

const home = [0, 0, 0, 0, 0, 0, ...owl.joints.slice(6).map((joint) => joint.home)];

let desk: Desk;
afterEach(() => desk.close());

it('follows the hand of the page that drives', async () => {
  desk = new Desk();
  const page = await desk.live();
  await desk.pass(1000, () => page.say({ do: 'hand', values: [0, 0, 3, ...home.slice(3)] }));
  expect(page.board).toMatchObject({ state: 'live', follows: 'hand', trip: null });
  const before = page.board.position[0]!;
  await desk.pass(1000, () => page.say({ do: 'hand', values: [0, 0, -3, ...home.slice(3)] }));
  expect(Math.abs(page.board.position[0]! - before)).toBeGreaterThan(0.05);
});

it('plays a take that is saved, to its end, and says where it is', async () => {
  desk = new Desk();
  const page = await desk.live();
  const nodAt = (t_s: number): number => 4 - 4 * Math.cos(Math.PI * t_s);
  const rows = Array.from({ length: 101 }, (_, n) => `${n / 50},${nodAt(n / 50)}`);
  writeFileSync(join(desk.folder, 'nod.csv'), ['t_s,nod_deg', ...rows, ''].join('\n'));
  page.say({ do: 'play', name: 'nod.csv', from_s: 0 });
  const times: number[] = [];
  const told: (typeof page.board)[] = [];
  await desk.pass(4000, () => {
    page.say({ do: 'here' });
    if (page.board.take_s !== null) times.push(page.board.take_s);
    if (page.board.told_s !== null) told.push(page.board);
  });
  expect(times.at(-1)).toBeGreaterThan(1.9);
  expect(told.at(-1)).toMatchObject({ take: 'nod.csv' });
  // What the nod was told at a time of the take, beside what the take asks then: the telemetry is of the time it says.
  const nod = owl.joints.findIndex(({ name }) => name === 'nod');
  const off = told.map(({ told_s, position }) => Math.abs(position[nod]! - toRad(nodAt(told_s!))));
  expect(told.length).toBeGreaterThan(80);
  // At 4π deg/s at the most: 10 ms.
  expect(Math.max(...off)).toBeLessThan(toRad(0.12));
  expect(page.board.follows).toBe('hand');
  page.say({ do: 'play', name: '../../etc/passwd', from_s: 0 });
  await desk.pass(100);
  expect(page.heard.at(-1)).toMatchObject({ said: 'board' });
  expect(page.heard).toContainEqual({
    said: 'fault',
    isOpen: true,
    words: 'there is no take ../../etc/passwd in the rig’s folder',
  });
});

it('sends a take half a second before its turn, so that a busy computer makes no frame late', async () => {
  const ahead_ms: number[] = [];
  desk = new Desk(async () => overheard((ms) => ahead_ms.push(ms)));
  const page = await desk.live();
  expect(Math.max(...ahead_ms)).toBe(0);
  writeFileSync(
    join(desk.folder, 'still.csv'),
    ['t_s,nod_deg', ...Array.from({ length: 201 }, (_, n) => `${n / 50},0`), ''].join('\n'),
  );
  page.say({ do: 'play', name: 'still.csv', from_s: 0 });
  await desk.pass(3000, () => page.say({ do: 'here' }));
  expect(page.board.follows).toBe('take');
  expect(ahead_ms.at(-1)).toBeGreaterThan(500);
  expect(page.board.late).toBe(0);
});

it('settles when the page that drives is gone, and lets the next one drive', async () => {
  desk = new Desk();
  const [page, other] = [await desk.live(), desk.page()];
  expect(other.heard[0]).toMatchObject({ said: 'you', drives: false });
  page.leave();
  await desk.pass(20_000);
  expect(other.board.state).toBe('limp');
  expect(other.board.pulse_us.every((us) => us === 0)).toBe(true);
  other.say({ do: 'drive' });
  expect(other.heard.at(-1)).toMatchObject({ said: 'you', drives: true });
});

it('is silent to the board when its page is, so that the guard holds, then settles', async () => {
  desk = new Desk();
  const page = await desk.live();
  await desk.pass(1600);
  expect(page.board.state).toBe('holding');
  await desk.pass(30_000);
  expect(page.board.state).toBe('limp');
});

/** The simulator, each 20 ms of which take 100 ms. */
function slowSim(): Target {
  const target = simTarget({ wasm: WASM });
  return {
    ...target,
    async open(listener) {
      const session = await target.open(listener);
      return {
        get now_us() {
          return session.now_us;
        },
        sharesClock: true,
        write: session.write.bind(session),
        async advance(to_us) {
          await session.advance(to_us);
          await desk.later(100);
        },
        close: () => session.close(),
      };
    },
  };
}

it('at a fifth of real time it says so, and a busy page that speaks every 2 s is not silent: silence is of the board’s time', async () => {
  desk = new Desk(async () => slowSim());
  const page = desk.page();
  page.say({ do: 'rouse' });
  const speaks = (): void => {
    if (desk.now_ms % 2000 === 0) page.say({ do: 'here' });
  };
  await desk.pass(120_000, speaks);
  expect(page.board).toMatchObject({ state: 'live', follows: 'hand', slow: 0.2 });
  await desk.pass(9000);
  expect(page.board).toMatchObject({ follows: 'nothing', slow: 0.2 });
});

it('a page asleep for a minute in mid-take: the prop settles, and what comes after waits for it to be roused', async () => {
  desk = new Desk();
  const page = await desk.live();
  const rows = Array.from({ length: 6001 }, (_, n) => `${n / 50},${4 - 4 * Math.cos(n / 50)}`);
  writeFileSync(join(desk.folder, 'long.csv'), ['t_s,nod_deg', ...rows, ''].join('\n'));
  page.say({ do: 'play', name: 'long.csv', from_s: 0 });
  await desk.pass(3000, () => page.say({ do: 'here' }));
  expect(page.board).toMatchObject({ state: 'live', follows: 'take', take: 'long.csv' });
  await desk.pass(3000);
  expect(page.board).toMatchObject({ state: 'holding', follows: 'nothing', take: null, told_s: null });
  await desk.pass(57_000);
  expect(page.board.state).toBe('limp');
  await desk.pass(2000, () => page.say({ do: 'here' }));
  expect(page.board).toMatchObject({ state: 'limp', follows: 'nothing' });
  page.say({ do: 'rouse' });
  await desk.pass(30_000, () => page.say({ do: 'here' }));
  expect(page.board.state).toBe('live');
});

it('lets a page that watches settle, and do nothing else', async () => {
  desk = new Desk();
  const [page, other] = [await desk.live(), desk.page()];
  other.say({ do: 'hand', values: [0, 0, 9, ...home.slice(3)] });
  await desk.pass(500, () => page.say({ do: 'here' }));
  expect(page.board.state).toBe('live');
  other.say({ do: 'settle' });
  await desk.pass(200, () => page.say({ do: 'here' }));
  expect(page.board.state).toBe('settling');
});

it.each([
  ['no JSON', '{'],
  ['nothing known', '{"do":"dance"}'],
  ['a hand of too few numbers', '{"do":"hand","values":[1]}'],
  ['a hand of no numbers', `{"do":"hand","values":${JSON.stringify(home.map(() => null))}}`],
  ['a take before its start', '{"do":"play","name":"a.csv","from_s":-1}'],
  ['a list', '[]'],
])('passes over %s, and shuts out a page that sends it again and again', (_, text) => {
  desk = new Desk();
  const page = desk.page();
  for (let n = 0; n < 21; n++) page.emit('message', Buffer.from(text), false);
  expect(page.isOut).toBe(true);
  expect(page.heard.every(({ said }) => said === 'you')).toBe(true);
});

it('says why there is no line, and opens it when asked again', async () => {
  let isThere = false;
  desk = new Desk(async () => {
    if (!isThere) throw new TargetError('there is no port there');
    return simTarget({ wasm: WASM });
  });
  const page = desk.page();
  page.say({ do: 'rouse' });
  await desk.pass(100);
  expect(page.heard.at(-1)).toEqual({ said: 'fault', words: 'there is no port there', isOpen: false });
  isThere = true;
  page.say({ do: 'rouse' });
  await desk.pass(30_000, () => page.say({ do: 'here' }));
  expect(page.board.state).toBe('live');
});
