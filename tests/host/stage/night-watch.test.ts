/** A board with a night warns before it moves, and the stage says for how long; what plays alone is said too. */
import { afterEach, expect, it } from 'vitest';
import { imageFingerprint, packImage } from '../../../host/controller/image.ts';
import { RESULT } from '../../../host/controller/messages.ts';
import { blankNor } from '../../../host/controller/nor.ts';
import { Conversation } from '../../../host/replay/conversation.ts';
import { sendNight } from '../../../host/shows/send.ts';
import { boardSentence, slowWords, stateWords } from '../../../host/stage/page/board/words.ts';
import { simTarget } from '../../../host/targets/sim.ts';
import { WASM } from '../../assembly/prop.ts';
import { nightOf } from '../shows/nights.ts';
import { Desk, owl } from './desk.ts';

/** A line to a board that has a night, which warns for 5 s. */
async function deskWithNight(): Promise<Desk> {
  const image = packImage(owl);
  const boot = { image, store: blankNor({ pages: 2048, sectorPages: 16 }) };
  const target = (): ReturnType<typeof simTarget> => simTarget({ wasm: WASM, boot });
  const talk = await Conversation.open(target(), { telemetry: () => undefined });
  expect(await sendNight(talk, nightOf({ fingerprint: imageFingerprint(image) }))).toBe(RESULT.done);
  await talk.session.close();
  return new Desk(async () => target());
}

let desk: Desk;
afterEach(() => desk.close());

it('says how long a board with a night still warns, and it moves when that is over', async () => {
  desk = await deskWithNight();
  const page = desk.page();
  page.say({ do: 'rouse' });
  const told: { at_s: number; moves_in_s: number; words: string }[] = [];
  let moved_s = NaN;
  await desk.pass(9000, () => {
    page.say({ do: 'here' });
    const last = page.heard.at(-1);
    if (last?.said !== 'board') return;
    if (last.moves_in_s !== null)
      told.push({ at_s: desk.now_ms / 1000, moves_in_s: last.moves_in_s, words: stateWords(last, true) });
    if (last.state === 'rousing' && Number.isNaN(moved_s)) moved_s = desk.now_ms / 1000;
  });
  expect(told.length).toBeGreaterThan(200);
  expect(told[0]!.moves_in_s).toBeGreaterThan(4.9);
  // Asked 5 times a second; the flash is written to while it warns.
  for (const { at_s, moves_in_s } of told) expect(Math.abs(at_s + moves_in_s - moved_s)).toBeLessThan(0.3);
  expect(told.map(({ words }) => words)).toContain('warning with light and sound: moves in 3 s');
  expect(page.board).toMatchObject({ moves_in_s: null, night: 'ready' });
});

it('a page that leaves while it warns takes the rousing back: nothing moves', async () => {
  desk = await deskWithNight();
  const [page, other] = [desk.page(), desk.page()];
  page.say({ do: 'rouse' });
  await desk.pass(2000, () => page.say({ do: 'here' }));
  expect(other.board.moves_in_s).toBeGreaterThan(2);
  page.leave();
  await desk.pass(10_000);
  expect(other.board).toMatchObject({ state: 'limp', moves_in_s: null });
  expect(other.heard.every((what) => what.said !== 'board' || what.state === 'limp')).toBe(true);
});

it('a board without a night says nothing of one', async () => {
  desk = new Desk();
  const page = await desk.live();
  expect(page.heard.every((what) => what.said !== 'board' || (what.night === null && what.moves_in_s === null))).toBe(
    true,
  );
});

it('has words for what the night does, and for an emulator that does not keep up', async () => {
  desk = new Desk();
  const board = (await desk.live()).board;
  expect(stateWords({ ...board, state: 'limp', moves_in_s: 0 }, true)).toMatch(/moves at any moment$/);
  expect(boardSentence({ ...board, night: 'playing' }, true)).toBe('the board: awake, playing its night alone');
  expect(boardSentence({ ...board, night: 'ready' }, true)).toBe('the board: following your hand');
  expect(slowWords({ ...board, slow: 0.5 })).toMatch(/ at 0\.5 of real time/);
  expect(boardSentence({ ...board, slow: 0.5 }, true)).toMatch(/, slower than real time$/);
  expect(slowWords(board)).toBe('');
});
