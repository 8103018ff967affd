/** A night on its way to a board's flash: afterwards the old one or the new one is in force, whatever happens, and never half of one. */
import crc32 from 'crc/calculators/crc32';
import { describe, expect, it } from 'vitest';
import { packImage } from '../../../host/controller/image.ts';
import { OUTPUT } from '../../../host/controller/layout.ts';
import { RESULT, TYPE } from '../../../host/controller/messages.ts';
import { type Nor, PowerFailed, blankNor } from '../../../host/controller/nor.ts';
import type { Conversation } from '../../../host/replay/conversation.ts';
import { listNight, removeShow, sendNight } from '../../../host/shows/send.ts';
import { WASM } from '../../assembly/prop.ts';
import { rigOf } from '../../assembly/rigs.ts';
import { IMAGE, PAGE, boardWith, nightOf, talkTo } from './nights.ts';

/** Sectors of four pages: a night of eight pages has two of them, and cuts in a sector's erasure stay few. Halves of 12 pages. */
const small = (): Nor => blankNor({ pages: 32, sectorPages: 4 });
const OLD = nightOf({ names: ['old'], fill: 0x11 });
const NEW = nightOf({ names: ['new'], fill: 0x22 });

/** Names of the shows in force after a start from this flash; or the result that says why there are none. */
async function namesIn(store: Nor): Promise<readonly string[] | number> {
  const entries = await listNight(await talkTo(store));
  return typeof entries === 'number' ? entries : entries.map(({ name }) => name);
}

/** Flash with a night in it. */
async function storeWith(night: Uint8Array, store = small()): Promise<Nor> {
  expect(await sendNight(await talkTo(store), night)).toBe(RESULT.done);
  return store;
}

/** A board that has noted in its log that the power came: from then on it writes what it is told to, and nothing else. */
async function quietTalk(store: Nor): Promise<Conversation> {
  const talk = await talkTo(store);
  await talk.until(() => false, 200_000);
  return talk;
}

/** How many bytes something changes. */
async function countChanges(store: Nor, what: (talk: Conversation) => Promise<unknown>): Promise<number> {
  const many = 1e6;
  const talk = await quietTalk(store);
  store.failsAfter = many;
  await what(talk);
  const changed = many - store.failsAfter;
  store.failsAfter = Infinity;
  return changed;
}

/** Flash as it is after the power went at the n-th byte changed. */
async function cutAt(from: Nor, n: number, what: (talk: Conversation) => Promise<unknown>): Promise<Nor> {
  const store = small();
  store.bytes.set(from.bytes);
  const talk = await quietTalk(store);
  store.failsAfter = n;
  await expect(what(talk)).rejects.toThrow(PowerFailed);
  store.failsAfter = Infinity;
  return store;
}

/** Another sequence into the head at a page, valid as before. */
function setSequence(store: Nor, page: number, sequence: number): void {
  const view = new DataView(store.bytes.buffer, page * PAGE, 32);
  view.setUint32(16, sequence, true);
  view.setUint32(28, crc32(store.bytes.subarray(page * PAGE, page * PAGE + 28)) >>> 0, true);
}

const send = (talk: Conversation): Promise<unknown> => sendNight(talk, NEW);

describe('a night that is sent', () => {
  it('is in force at once, after a start, and after another one: the halves take turns', async () => {
    const store = small();
    const talk = await talkTo(store);
    const shares: number[] = [];
    expect(await listNight(talk)).toBe(RESULT.noNight);
    expect(await sendNight(talk, OLD, (share) => shares.push(share))).toBe(RESULT.done);
    expect(shares).toEqual(Array.from({ length: 9 }, (_, i) => (i + 1) / 9));
    expect(await listNight(talk)).toMatchObject([{ name: 'old', count: 1, frames: 50, sequence: 1, removed: false }]);
    expect(await namesIn(store)).toEqual(['old']);
    expect(await sendNight(talk, NEW)).toBe(RESULT.done);
    expect(await listNight(talk)).toMatchObject([{ name: 'new', sequence: 2 }]);
    expect(await sendNight(talk, OLD)).toBe(RESULT.done);
    expect(await namesIn(store)).toEqual(['old']);
    // Each half was erased as far as its night reaches: 9 pages are three sectors; behind them the log's two sectors.
    expect([...store.erasures.slice(0, 6)]).toEqual([2, 2, 2, 1, 1, 1]);
  });

  it(
    'is old or new after the power went at any byte that is changed, and the next one goes in',
    { timeout: 600_000 },
    async () => {
      const before = await storeWith(OLD);
      const changes = await countChanges(await storeWith(OLD), send);
      expect(changes).toBe(3 * 4 * PAGE + 9 * PAGE);
      const seen = new Map<string, number>();
      for (let n = 0; n < changes; n++) {
        const store = await cutAt(before, n, send);
        const name = String(await namesIn(store));
        seen.set(name, (seen.get(name) ?? 0) + 1);
        if (n % 500 !== 0) continue;
        await send(await talkTo(store));
        expect(await namesIn(store)).toEqual(['new']);
      }
      // The head is the last page; once its 32 bytes stand the rest of it changes nothing.
      expect([...seen]).toEqual([
        ['old', changes - PAGE + 32],
        ['new', PAGE - 32],
      ]);
    },
  );

  it('without one before it, none or the new one is in force', async () => {
    const blank = small();
    const changes = await countChanges(small(), send);
    for (let n = 0; n < changes; n += 97) {
      const names = await namesIn(await cutAt(blank, n, send));
      expect([RESULT.noNight, 'new']).toContain(Array.isArray(names) ? names[0] : names);
    }
  });

  it('onto a flash that is worn out at any of its bytes is refused, and the old one stays', async () => {
    const before = await storeWith(OLD);
    for (let n = 0; n < 12 * PAGE + 8 * PAGE + 32; n += 101) {
      const store = small();
      store.bytes.set(before.bytes);
      // A blank half hides an erasure that does not work.
      store.bytes.fill(0, 12 * PAGE, 24 * PAGE);
      store.wearsOutAfter = n;
      expect(await sendNight(await talkTo(store), NEW), String(n)).toBe(RESULT.notStored);
      store.wearsOutAfter = Infinity;
      expect(await namesIn(store)).toEqual(['old']);
    }
  });

  it('is refused for another rig, when it is too big, when it is none, and on a board without room', async () => {
    const store = await storeWith(OLD);
    const talk = await talkTo(store);
    expect(await sendNight(talk, nightOf({ fingerprint: 0x12345678 }))).toBe(RESULT.otherRig);
    expect(await sendNight(talk, nightOf({ names: ['a', 'b', 'c'] }))).toBe(RESULT.noRoom);
    const torn = nightOf({ names: ['torn'] });
    torn[9]! ^= 1;
    expect(await sendNight(talk, torn)).toBe(RESULT.malformed);
    const plan = nightOf({ names: ['plan'] });
    plan[3 * PAGE]! ^= 1;
    expect(await sendNight(talk, plan)).toBe(RESULT.damaged);
    expect(await namesIn(store)).toEqual(['old']);
    const none = blankNor({ pages: 0, sectorPages: 4 });
    expect(await sendNight(await talkTo(none), NEW)).toBe(RESULT.noNight);
  });

  it('is taken in order only, a repeated part once, a repeated commit as well', async () => {
    const store = small();
    const talk = await talkTo(store);
    const part = (n: number): Promise<number> =>
      talk.ask(talk.send.nightPart(128 * n, NEW.slice(128 * n, 128 * n + 128)));
    expect(await part(0)).toBe(RESULT.malformed);
    expect(await talk.ask(talk.send.command(TYPE.nightCommit))).toBe(RESULT.malformed);
    expect(await talk.ask(talk.send.nightBegin(5))).toBe(RESULT.malformed);
    expect(await talk.ask(talk.send.nightBegin(9))).toBe(RESULT.done);
    expect(await part(1)).toBe(RESULT.malformed);
    for (const n of [0, 0, 1, 1, 0, 2]) expect(await part(n)).toBe(RESULT.done);
    expect(await part(4)).toBe(RESULT.malformed);
    expect(await talk.ask(talk.send.nightPart(3 * 128, NEW.slice(0, 100)))).toBe(RESULT.malformed);
    expect(await talk.ask(talk.send.command(TYPE.nightCommit))).toBe(RESULT.malformed);
    for (let n = 3; n < 18; n++) for (let again = 0; again < 2; again++) expect(await part(n)).toBe(RESULT.done);
    expect(await part(18)).toBe(RESULT.malformed);
    for (let again = 0; again < 2; again++)
      expect(await talk.ask(talk.send.command(TYPE.nightCommit))).toBe(RESULT.done);
    expect(await namesIn(store)).toEqual(['new']);
    expect([...store.erasures.slice(0, 6)]).toEqual([1, 1, 1, 0, 0, 0]);
    // Beside the head, which has its sequence: byte for byte.
    expect(Buffer.compare(store.bytes.slice(PAGE, 9 * PAGE), NEW.slice(PAGE))).toBe(0);
  });

  it('is refused while the prop is roused, and warned of it, and nothing changes in the halves', async () => {
    const store = await storeWith(OLD);
    const halves = (): Uint8Array => store.bytes.slice(0, 24 * PAGE);
    const before = halves();
    const talk = await talkTo(store);
    await talk.report(10);
    await talk.ask(talk.send.nightBegin(9));
    const begun = halves();
    await talk.ask(talk.send.command(TYPE.rouse));
    for (const state of ['limp', 'live']) {
      expect(await talk.until(() => talk.state === state, 10e6)).toBe(true);
      expect(await talk.ask(talk.send.nightPart(0, NEW.slice(0, 128)))).toBe(RESULT.notNow);
      expect(await talk.ask(talk.send.nightBegin(9))).toBe(RESULT.notNow);
      expect(await removeShow(talk, 0)).toBe(RESULT.notNow);
    }
    expect(Buffer.compare(halves(), begun)).toBe(0);
    expect(Buffer.compare(begun.slice(0, 9 * PAGE), before.slice(0, 9 * PAGE))).toBe(0);
    expect(await namesIn(store)).toEqual(['old']);
  });
});

describe('the night in force', () => {
  it('is none where the newest is for another rig, and there again with its own', async () => {
    const store = await storeWith(OLD);
    const other = packImage(rigOf({ hz: 250 }));
    expect(await listNight(await talkTo(store, other))).toBe(RESULT.otherRig);
    expect(await namesIn(store)).toEqual(['old']);
  });

  it('is the newer of two, also where the sequence wraps, whichever half it stands in', async () => {
    const store = await storeWith(NEW, await storeWith(OLD));
    const whole = store.bytes.slice();
    // Halves begin at pages 0 (old) and 12 (new).
    for (const [old, young, name] of [
      [1, 2, 'new'],
      [2, 1, 'old'],
      [0xffffffff, 0, 'new'],
      [0, 0xffffffff, 'old'],
      [0x7fffffff, 0x80000000, 'new'],
    ] as const) {
      store.bytes.set(whole);
      setSequence(store, 0, old);
      setSequence(store, 12, young);
      expect(await namesIn(store), `${String(old)} ${String(young)}`).toEqual([name]);
    }
  });

  it('is the older one where plan or entries of the newer do not stand as they did', async () => {
    const store = await storeWith(NEW, await storeWith(OLD));
    store.bytes[12 * PAGE + 6 * PAGE + 96]! ^= 1;
    expect(await namesIn(store)).toEqual(['old']);
    store.bytes[2 * PAGE]! ^= 1;
    expect(await namesIn(store)).toBe(RESULT.noNight);
  });

  it('says which show has a flipped bit, whichever of its bits it is, and which are whole', async () => {
    const store = await storeWith(nightOf({ names: ['a', 'b'] }), blankNor({ pages: 64, sectorPages: 4 }));
    const whole = store.bytes.slice();
    const flagsIn = async (): Promise<unknown> => {
      const talk = await talkTo(store);
      await talk.until(() => false, 200_000);
      const entries = await listNight(talk);
      return typeof entries === 'number' ? entries : entries.map(({ damaged, checked }) => [damaged, checked]);
    };
    expect(await flagsIn()).toEqual([
      [false, true],
      [false, true],
    ]);
    const first = 7 * PAGE;
    for (let bit = 0; bit < 8 * 300; bit += 37) {
      store.bytes[first + 2 * PAGE + (bit >> 3)]! ^= 1 << (bit & 7);
      expect(await flagsIn()).toEqual([
        [false, true],
        [true, true],
      ]);
      store.bytes.set(whole);
    }
  });

  it('gives the board its pins, but for the stop loop and the power of the rig', async () => {
    const { stop_pin, power_pin } = { stop_pin: IMAGE[26]!, power_pin: IMAGE[27]! };
    const pinsOf = (board: ReturnType<typeof boardWith>): number[] => {
      const module = new WebAssembly.Instance(new WebAssembly.Module(WASM)).exports as { outputs: WebAssembly.Global };
      const at = Number(module.outputs.value) + OUTPUT.in_pins_low;
      return [...board.snapshot().subarray(at, at + 16)];
    };
    const none = new Array<number>(16).fill(255);
    const pins = [19, stop_pin, 22, 255, 255, 255, 255, 18, 26, power_pin, 255, 255, 27, 255, 255, 255];
    const store = await storeWith(nightOf({ pins }));
    const board = boardWith(store);
    board.tick();
    expect(pinsOf(board)).toEqual(none);
    for (let n = 0; n < 20; n++) board.tick();
    expect([stop_pin, power_pin]).toEqual([20, 21]);
    expect(pinsOf(board)).toEqual(pins.map((pin) => (pin === stop_pin || pin === power_pin ? 255 : pin)));
    // Torn: they are nobody's again.
    store.bytes[2 * PAGE]! ^= 1;
    const torn = boardWith(store);
    for (let n = 0; n < 20; n++) torn.tick();
    expect(pinsOf(torn)).toEqual(none);
  });

  it('is not known to be whole before it has been read', async () => {
    const store = await storeWith(OLD);
    expect(await listNight(await talkTo(store))).toMatchObject([{ checked: false, damaged: false }]);
  });
});

describe('a show that is removed', () => {
  const three = (): Nor => blankNor({ pages: 64, sectorPages: 4 });
  const NIGHT = nightOf({ names: ['a', 'b', 'c'] });

  it('is told as removed, at once and after a start; the others are not', async () => {
    const store = await storeWith(NIGHT, three());
    const talk = await talkTo(store);
    const removedIn = (entries: Awaited<ReturnType<typeof listNight>>): unknown =>
      typeof entries === 'number' ? entries : entries.map(({ removed }) => removed);
    expect(await removeShow(talk, 3)).toBe(RESULT.malformed);
    expect(await removeShow(talk, 1)).toBe(RESULT.done);
    expect(removedIn(await listNight(talk))).toEqual([false, true, false]);
    expect(await removeShow(talk, 1)).toBe(RESULT.done);
    expect(await removeShow(talk, 2)).toBe(RESULT.done);
    expect(removedIn(await listNight(await talkTo(store)))).toEqual([false, true, true]);
  });

  it('is there or removed after the power went at any byte of it, and a cut is mended by the next removal', async () => {
    const before = await storeWith(nightOf({ names: ['a', 'b'] }));
    const remove = (talk: Conversation): Promise<unknown> => removeShow(talk, 1);
    const seen: unknown[] = [];
    for (let n = 0; n < PAGE; n++) {
      const store = await cutAt(before, n, remove);
      const entries = await listNight(await talkTo(store));
      expect(entries).toMatchObject([{ name: 'a', removed: false }, { name: 'b' }]);
      seen.push(typeof entries !== 'number' && entries[1]!.removed);
      expect(await remove(await talkTo(store))).toBe(RESULT.done);
      expect(await listNight(await talkTo(store))).toMatchObject([{ removed: false }, { removed: true }]);
    }
    // Its word is the second.
    expect(seen).toEqual(Array.from({ length: PAGE }, (_, n) => n >= 4));
  });
});
