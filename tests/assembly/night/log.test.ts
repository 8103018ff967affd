/**
 * The events: trips by themselves, kept until the flash may be written; and the flash, which can be read at whatever byte the power
 * goes. The flash is a model of NOR: erasing sets bits, programming clears them, byte by byte.
 */
import { describe, expect, it } from 'vitest';
import { TYPE } from '../../../host/controller/messages.ts';
import { HOW, type LogEvent, parseEvents } from '../../../host/shows/log-frames.ts';
import { LOG_BYTES, SECTOR_BYTES, Watching, jointsOnly } from './watching.ts';

const KIND = { started: 2, stopped: 3, cleared: 6, refused: 7 };
const SUPPLY = 2;
const rig = jointsOnly(2);
const PLAYING = 7;

const words = (events: readonly LogEvent[]): string[] => events.map(({ kind }) => kind);
const settled = (prop: Watching): void => {
  for (let i = 0; i < 2000 && !prop.probe.allWritten(); i++) prop.run(1);
  expect(prop.probe.allWritten()).toBe(1);
};
/** A supply that stays low until it trips. */
const trip = (prop: Watching): void => {
  prop.setMeasured(100, 4100);
  prop.until('tripped');
  prop.setMeasured(100, 6000);
};

describe('an event', () => {
  it('says of a trip which, when, in which show, and which joint was asked for most of its speed', () => {
    const prop = new Watching(rig);
    prop.probe.setTime(1_800_000_000);
    prop.rouse();
    prop.tell(PLAYING, 3, 21, 'startle');
    for (let n = 0; n < 40; n++) {
      prop.pose(5000, [0, 0, 0, 0, 0, 0, 0, 0.004 * n]);
      if (n === 15) prop.setMeasured(100, 4100);
      prop.run(1);
    }
    expect(prop.state).toBe('tripped');
    prop.setMeasured(100, 6000);
    const at_s = prop.ask(0, 0).uptime_s;
    prop.seconds(20);
    settled(prop);
    const event = prop.events().at(-1)!;
    expect(event).toMatchObject({
      kind: 'trip',
      detail: SUPPLY,
      joint: 1,
      how: HOW.hardest,
      value: 4100,
      supply_v: 4.1,
      show: 3,
      second: 21,
      name: 'startle',
      boots: 1,
      same: 1,
    });
    expect(Math.abs(event.at_s - at_s)).toBeLessThan(0.2);
    expect(event.unix_s).toBe(1_800_000_000 + Math.floor(event.at_s));
  });

  it('blames no joint for a noisy line when none was behind', () => {
    const prop = new Watching(rig);
    prop.rouse();
    for (let n = 0; n < 4000 && prop.state !== 'tripped'; n++) {
      prop.receive(Uint8Array.of(3, 1, 2, 0));
      prop.run(1);
    }
    expect(prop.state).toBe('tripped');
    prop.seconds(20);
    expect(prop.events().at(-1)).toMatchObject({ kind: 'trip', detail: 1, joint: null, how: 0 });
  });

  it('waits in memory while pulses are on, and can be read there', () => {
    const prop = new Watching(rig);
    settled(prop);
    const before = prop.flash.slice();
    prop.rouse();
    trip(prop);
    prop.run(1);
    expect(prop.flash).toEqual(before);
    expect(words(prop.events())).toEqual(['power', 'trip']);
    prop.until('tripped');
    prop.seconds(10);
    settled(prop);
    expect(prop.flash).not.toEqual(before);
    expect(words(prop.events())).toEqual(['power', 'trip']);
  });

  it('is counted with those of its kind since power', () => {
    const prop = new Watching(rig);
    for (let k = 0; k < 3; k++) {
      prop.rouse();
      trip(prop);
      prop.seconds(10);
      prop.command(TYPE.clear);
    }
    settled(prop);
    expect(
      prop
        .events()
        .filter(({ kind }) => kind === 'trip')
        .map(({ same }) => same),
    ).toEqual([1, 2, 3]);
  });

  it('that is a trip is not lost to later ones, and how many were lost is told', () => {
    const prop = new Watching(rig);
    settled(prop);
    prop.rouse();
    for (let k = 0; k < 5; k++) expect(prop.probe.note(KIND.refused, k, 0)).toBe(1);
    trip(prop);
    prop.run(1);
    for (let k = 5; k < 7; k++) prop.probe.note(KIND.refused, k, 0);
    expect(prop.probe.note(KIND.refused, 7, 0)).toBe(0);
    expect(words(prop.events())).toContain('trip');
    prop.seconds(10);
    settled(prop);
    const events = prop.events();
    expect(words(events)).toEqual(['power', ...Array<string>(5).fill('refused'), 'trip', 'refused', 'refused']);
    expect(events[1]!.lost).toBe(1);
  });

  it('that is a trip takes the place of another where there is no room', () => {
    const prop = new Watching(rig);
    settled(prop);
    prop.rouse();
    for (let k = 0; k < 8; k++) prop.probe.note(KIND.refused, k, 0);
    trip(prop);
    prop.seconds(10);
    settled(prop);
    const events = prop.events();
    expect(words(events).filter((kind) => kind === 'trip')).toHaveLength(1);
    expect(events.filter(({ kind }) => kind === 'refused').map(({ detail }) => detail)).toEqual([0, 1, 2, 3, 4, 5, 6]);
  });

  it('of a trip that a reset has kept says so', () => {
    const before = new Watching(rig);
    settled(before);
    before.rouse();
    trip(before);
    const prop = new Watching(rig, before.flash.slice(), { resetReason: 1, places: before.places() });
    prop.seconds(10);
    const events = prop.events();
    expect(words(events)).toEqual(['power', 'power', 'trip']);
    expect(events.at(-1)).toMatchObject({ detail: SUPPLY, how: HOW.reset, boots: 2 });
    expect(events[1]!.detail).toBe(1);
  });
});

describe('the log in flash', () => {
  it('counts power-ons, and goes on where the one before ended', () => {
    let flash: Uint8Array | undefined;
    for (let k = 1; k <= 5; k++) {
      const prop = new Watching(rig, flash);
      settled(prop);
      expect(prop.probe.boots()).toBe(k);
      flash = prop.flash.slice();
    }
    const events = new Watching(rig, flash).events();
    expect(events.map(({ boots, n }) => [boots, n]).slice(0, 5)).toEqual([1, 2, 3, 4, 5].map((k) => [k, k - 1]));
  });

  it('keeps the last ten trips through any number of sector changes, and wears both sectors alike', () => {
    const prop = new Watching(rig);
    for (let k = 0; k < 12; k++) {
      prop.rouse();
      trip(prop);
      prop.seconds(10);
      prop.command(TYPE.clear);
    }
    settled(prop);
    const erased = [0, 0];
    let were = prop.flash.slice();
    for (let k = 0; k < 100; k++) {
      prop.probe.note(KIND.refused, k & 15, k);
      settled(prop);
      const now = prop.flash.slice();
      [0, 1].forEach((sector) => {
        const head = (bytes: Uint8Array): number =>
          new DataView(bytes.buffer).getUint32(sector * SECTOR_BYTES + 8, true);
        if (head(now) !== head(were)) erased[sector]!++;
      });
      were = now;
    }
    const trips = prop.events().filter(({ kind }) => kind === 'trip');
    expect(trips.map(({ same }) => same)).toEqual([3, 4, 5, 6, 7, 8, 9, 10, 11, 12]);
    expect(Math.abs(erased[0]! - erased[1]!)).toBeLessThanOrEqual(1);
    expect(erased[0]).toBeGreaterThan(3);
    expect(prop.probe.wear()).toBe(Number(prop.probe.erasures.value));
    const again = new Watching(rig, prop.flash.slice());
    settled(again);
    expect(again.probe.wear()).toBe(prop.probe.wear());
  });

  it('steps over a page that takes no bits', () => {
    const prop = new Watching(rig);
    settled(prop);
    prop.probe.setWorn(9);
    for (let k = 0; k < 6; k++) prop.probe.note(KIND.refused, k, k);
    settled(prop);
    expect(words(prop.events())).toEqual(['power', ...Array<string>(6).fill('refused')]);
  });

  it('can be read at whatever byte the power goes: everything before, and what was being written or not', () => {
    const start = new Watching(rig);
    for (let k = 0; k < 2; k++) {
      start.rouse();
      trip(start);
      start.seconds(10);
      start.command(TYPE.clear);
    }
    settled(start);
    // Until the next event changes sectors.
    while (start.events().length < 15) {
      start.probe.note(KIND.refused, 1, 0);
      settled(start);
    }
    const flash = start.flash.slice();
    const known = start.events().map(({ n }) => n);
    const write = (left: number): Watching => {
      const prop = new Watching(rig, flash);
      // The event of its own power-on is one of them.
      prop.probe.setLeft(left);
      prop.probe.note(KIND.refused, 2, 0);
      prop.run(120);
      return prop;
    };
    const whole = write(0x7fffffff);
    settled(whole);
    const bytes = Number(whole.probe.changed.value);
    expect(bytes, 'a sector is erased, trips are carried, a head is written').toBeGreaterThan(SECTOR_BYTES + 4 * 40);
    const trips = (events: readonly LogEvent[]): number[] =>
      events.filter(({ kind }) => kind === 'trip').map(({ n }) => n);
    const before = trips(start.events());
    expect(before).toHaveLength(2);
    for (let left = 0; left <= bytes; left++) {
      const cut = write(left).flash.slice();
      const found = parseEvents(cut).events.map(({ n }) => n);
      // The older sector may be gone, the trips are not; and the next power-on writes on.
      const prop = new Watching(rig, cut);
      prop.run(150);
      expect(prop.probe.allWritten(), `cut after ${String(left)} bytes`).toBe(1);
      const events = prop.events();
      expect(trips(events), `cut after ${String(left)} bytes`).toEqual(before);
      expect(found.filter((n) => known.includes(n)).length).toBeGreaterThan(1);
      expect(new Set(events.map(({ n }) => n)).size).toBe(events.length);
      expect(events.at(-1)!.kind).toBe('power');
    }
  }, 120_000);
});

describe('the last stop', () => {
  const run = (kinds: readonly number[], flash?: Uint8Array): Watching => {
    const prop = new Watching(rig, flash);
    expect(prop.probe.lastStopDirty(), 'not before the log is read').toBe(1);
    settled(prop);
    for (const kind of kinds) prop.probe.note(kind, 0, 0);
    settled(prop);
    return prop;
  };
  const dirty = (kinds: readonly number[]): number => run([], run(kinds).flash.slice()).probe.lastStopDirty();

  it('is dirty when power went between the start and the stop, until somebody clears it', () => {
    expect(dirty([])).toBe(0);
    expect(dirty([KIND.started, KIND.stopped])).toBe(0);
    expect(dirty([KIND.started])).toBe(1);
    expect(dirty([KIND.started, KIND.stopped, KIND.started])).toBe(1);
    const prop = run([], run([KIND.started]).flash.slice());
    expect(prop.probe.lastStopDirty()).toBe(1);
    prop.probe.note(KIND.cleared, 0, 0);
    expect(prop.probe.lastStopDirty()).toBe(0);
    settled(prop);
    expect(run([], prop.flash.slice()).probe.lastStopDirty()).toBe(0);
  });

  it('stays dirty through power-ons and sector changes that nobody clears', () => {
    let flash = run([KIND.started]).flash.slice();
    for (let k = 0; k < 40; k++) {
      const prop = run([], flash);
      expect(prop.probe.lastStopDirty(), `power-on ${String(k)}`).toBe(1);
      flash = prop.flash.slice();
    }
  });

  it('is never clean by a cut: of every byte of the start, and of every byte of the stop', () => {
    for (const [kinds, kind] of [
      [[], KIND.started],
      [[KIND.started], KIND.stopped],
    ] as const) {
      const flash = run(kinds).flash.slice();
      const write = (left: number): Watching => {
        const prop = new Watching(rig, flash);
        settled(prop);
        prop.probe.setLeft(left);
        prop.probe.note(kind, 0, 0);
        prop.run(20);
        return prop;
      };
      for (let left = 0; left < 64; left++) {
        const prop = write(left);
        const done = prop.probe.allWritten() === 1;
        const next = run([], prop.flash.slice());
        // A start of which the player was not told that it is written has moved nothing; a stop that is not written is none.
        if (kind === KIND.started ? done : !done) expect(next.probe.lastStopDirty(), `${String(left)} bytes`).toBe(1);
      }
    }
  });

  it('counts as dirty where a bit has changed in what may have been the start', () => {
    const flash = run([KIND.started]).flash.slice();
    const { events } = parseEvents(flash);
    const at = 64 * (1 + events.findIndex(({ kind }) => kind === 'started'));
    for (const byte of [4, 20, 44]) {
      const flipped = flash.slice();
      flipped[at + byte]! ^= 1;
      expect(run([], flipped).probe.lastStopDirty()).toBe(1);
    }
    expect(flash).toHaveLength(LOG_BYTES);
  });
});
