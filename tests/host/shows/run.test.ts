/** When a show that was asked for counts as over: by what the board says it does, look by look. */
import { describe, expect, it } from 'vitest';
import { sender } from '../../../host/controller/messages.ts';
import {
  NIGHT_STATES,
  type NightEntry,
  type NightState,
  parseNightEntry,
} from '../../../host/controller/night-messages.ts';
import type { Conversation } from '../../../host/replay/conversation.ts';
import { runShow } from '../../../host/shows/run.ts';

const AWAITED = 8;
/** One second of frames. */
const FRAMES = 50;

interface Look {
  readonly state: NightState;
  readonly awaited?: boolean;
}

/** nightEntry as listing.ts sends it. */
function entryBytes({ state, awaited = false }: Look): DataView {
  const view = new DataView(new ArrayBuffer(48));
  view.setUint8(1, 1);
  view.setUint8(2, NIGHT_STATES.indexOf(state));
  view.setUint8(3, awaited ? AWAITED : 0);
  view.setUint32(8, FRAMES, true);
  return view;
}

const ENTRY: NightEntry = parseNightEntry(entryBytes({ state: 'ready' }))!;

/** A board that says this at one look after the other, the last of it for ever; and what was asked of it, in frames. */
function boardOf(looks: readonly Look[]) {
  const session = { now_us: 0 };
  const asked: Uint8Array[] = [];
  let n = 0;
  const talk = {
    send: sender(),
    session,
    ask: (frame: Uint8Array) => {
      asked.push(frame);
      return Promise.resolve(0);
    },
    askFor: () => Promise.resolve(entryBytes(looks[Math.min(n++, looks.length - 1)]!)),
    until: (_: unknown, for_us: number) => {
      session.now_us += for_us;
      return Promise.resolve(true);
    },
  } as unknown as Conversation;
  return { talk, session, asked };
}

async function ranOn(looks: readonly Look[]) {
  const board = boardOf(looks);
  const ran = await runShow(board.talk, ENTRY, 0, { phase: () => undefined, signal: new AbortController().signal });
  if (typeof ran === 'number') throw new Error(`refused: ${String(ran)}`);
  return { ...board, ran, states: ran.phases.map(({ state }) => state), took_s: board.session.now_us / 1e6 };
}

const times = (n: number, look: Look): Look[] => Array.from({ length: n }, () => look);

describe('a show that was asked for', () => {
  it('and is no longer awaited before anything warned of it is over at once', async () => {
    const { ran, states, took_s } = await ranOn([...times(3, { state: 'ready', awaited: true }), { state: 'ready' }]);
    expect([states, ran.whole]).toEqual([['ready'], false]);
    expect(took_s).toBeLessThan(1);
  });

  it('is waited for while a joint cools, and while another show settles first', async () => {
    const { ran, states } = await ranOn([
      { state: 'idle', awaited: true },
      { state: 'ending', awaited: true },
      { state: 'ready', awaited: true },
      ...times(600, { state: 'cooling', awaited: true }),
      { state: 'warning' },
      { state: 'rousing' },
      { state: 'crossing' },
      ...times(6, { state: 'playing' }),
      { state: 'idle' },
    ]);
    expect(states).toEqual(['idle', 'ending', 'ready', 'cooling', 'warning', 'rousing', 'crossing', 'playing', 'idle']);
    expect(ran.whole).toBe(true);
  });

  it('and given up while it warns is over', async () => {
    const { states, ran } = await ranOn([{ state: 'warning' }, { state: 'ready' }]);
    expect([states, ran.whole]).toEqual([['warning', 'ready'], false]);
  });

  it('and not ready to start after 90 s is given up, and the board told so', async () => {
    const { asked, took_s } = await ranOn([...times(452, { state: 'ready', awaited: true }), { state: 'ready' }]);
    expect(took_s).toBeGreaterThan(90);
    expect(asked.map((frame) => frame.length > 0)).toEqual([true, true]);
  });
});
