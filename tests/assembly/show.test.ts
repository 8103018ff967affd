/** Shows as the board decodes them: what was packed, to the bit, from any bytes and whenever pages come. */
import * as fc from 'fast-check';
import { readFileSync } from 'node:fs';
import { beforeAll, describe, expect, it } from 'vitest';
import { readRig } from '../../host/rig/read.ts';
import { toDeg } from '../../host/rig/rig.ts';
import { decodeShow } from '../../host/shows/decode.ts';
import { type Frames, encodeShow, segmentsIn, unsayable } from '../../host/shows/encode.ts';
import { FRAME_HZ, SEGMENT, mostSteps, stepOf } from '../../host/shows/layout.ts';
import { type Sampled, sampleStream } from '../../host/shows/sample.ts';
import { storeStream } from '../../host/stream/store.ts';
import { frameOf, openIn, playAll, showModule } from './show-module.ts';

const JOINTS = 10;
const PLACES = [0, 1, 2, 3, 4, 5, 12, 13, 14, 15];
/** Seed of everything random here. */
const SEED = 20_261;

let module: Awaited<ReturnType<typeof showModule>>;
beforeAll(async () => {
  module = await showModule();
}, 60_000);

const heatsOf = (count: number): Uint8Array[] =>
  Array.from({ length: segmentsIn(count) }, (_, s) =>
    Uint8Array.from({ length: JOINTS }, (_, j) => (17 * s + 31 * j) & 255),
  );

/** Packs, decodes on both sides and compares. */
function sameOnBothSides(frames: Frames): Uint8Array {
  expect(unsayable(frames)).toBeNull();
  const heats = heatsOf(frames.count);
  const data = encodeShow(frames, heats);
  const show = { data, frames: frames.count, places: frames.places, joints: JOINTS };
  const played = playAll(module, show);
  expect(played.count).toBe(frames.count);
  expect(Buffer.from(played.steps.buffer).equals(Buffer.from(frames.steps.buffer))).toBe(true);
  expect(played.heats).toEqual(heats.map((heat) => [...heat].map((share) => share / 32)));
  const here = decodeShow(data, { ...show });
  expect(Buffer.from(here.steps.buffer).equals(Buffer.from(frames.steps.buffer))).toBe(true);
  expect(here.heats).toEqual(heats);
  expect(here.spoilt).toBe(false);
  return data;
}

const walk = (count: number, places: readonly number[], most: number, seed: number): Frames => {
  let state = seed;
  const random = (): number => (state = (Math.imul(state, 1664525) + 1013904223) >>> 0) / 2 ** 31 - 1;
  const steps = new Int32Array(count * places.length);
  for (let i = 0; i < places.length; i++) {
    let at = 0;
    for (let frame = 0; frame < count; frame++) {
      at = Math.round(Math.min(20_000, Math.max(-20_000, at + random() * most)));
      steps[frame * places.length + i] = at;
    }
  }
  return { places, steps, count };
};

describe('a packed show', () => {
  it.each([1, 2, 3, 24, 25, 26, 27, 49, 50, 51, 499, 500, 501, 502, 503, 525, 1000, 1001, 1277])(
    'of %i frames is decoded as it was',
    (count) => {
      sameOnBothSides(walk(count, PLACES, 40, count));
    },
  );

  it('is decoded as it was, however it leaps (seed 20261)', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 700 }), fc.integer({ min: 0, max: 14 }), fc.nat(), (count, leap, seed) => {
        sameOnBothSides(walk(count, PLACES.slice(seed % PLACES.length), 2 ** leap, seed));
      }),
      { seed: SEED, numRuns: 60 },
    );
  });

  it('may name nothing, or every value of sixteen joints', () => {
    sameOnBothSides({ places: [], steps: new Int32Array(0), count: 600 });
    const all = Array.from({ length: 22 }, (_, k) => k);
    const frames = walk(600, all, 900, 4);
    const data = encodeShow(
      frames,
      heatsOf(600).map(() => new Uint8Array(16)),
    );
    expect(playAll(module, { data, frames: 600, places: all, joints: 16 }).steps).toEqual(frames.steps);
  });

  it('goes to the ends of what can be said', () => {
    // Each place at its own end, resting there.
    const rows = Array.from({ length: 600 }, (_, i) => (i % 2 ? -1 : 1) * mostSteps(PLACES[i % 10]!));
    sameOnBothSides({ places: PLACES, steps: Int32Array.from(rows), count: 60 });
  });

  it('says which value moves further or faster than can be said', () => {
    const leap = (by: number): Frames => ({ places: [5], steps: Int32Array.from([0, 0, by, 0]), count: 4 });
    expect(unsayable(leap(10_000))).toBeNull();
    expect(unsayable(leap(17_000))).toEqual({ place: 5, at_s: 3 / FRAME_HZ });
    expect(unsayable(leap(23_000))).toEqual({ place: 5, at_s: 2 / FRAME_HZ });
  });

  it('stands at home where it names no value', () => {
    const frames = walk(3, [2, 9], 5, 1);
    const data = encodeShow(frames, heatsOf(3));
    openIn(module, { data, frames: 3, places: [2, 9], joints: JOINTS });
    module.letCome(1000);
    module.nextFrame(Number(module.TO.value));
    const values = frameOf(module);
    for (let k = 0; k < 22; k++) {
      if (k === 2 || k === 9) continue;
      expect(values[k]).toBe(k < 6 || k >= 6 + JOINTS ? 0 : (k - 6) * 0.125);
    }
  });
});

describe('pages that come late', () => {
  it('make no difference to what is decoded (seed 20261)', () => {
    const frames = walk(1100, PLACES, 300, 9);
    const data = encodeShow(frames, heatsOf(1100));
    openIn(module, { data, frames: 1100, places: PLACES, joints: JOINTS });
    const to = Number(module.TO.value);
    const out = frameOf(module);
    const rows: number[] = [];
    let [pages, tries, refused] = [3, 0, 0];
    while (!module.ended()) {
      expect(tries++).toBeLessThan(20_000);
      if (module.nextFrame(to)) for (const place of PLACES) rows.push(Math.round(out[place]! / stepOf(place)));
      else {
        refused++;
        if (tries % 3 === 0) module.letCome(++pages);
      }
    }
    expect(refused).toBeGreaterThan(50);
    expect(Int32Array.from(rows)).toEqual(frames.steps);
  });
});

describe('bytes that no packer made', () => {
  it('give frames a link could send, the same on both sides, and an end (seed 20261)', () => {
    fc.assert(
      fc.property(
        fc.uint8Array({ maxLength: 3000 }),
        fc.nat(4000),
        fc.nat(0x3fffff),
        fc.nat(20),
        (data, frames, mask, joints) => {
          const places = Array.from({ length: 22 }, (_, k) => k).filter(
            (k) => (mask >> k) & 1 && k < 6 + Math.min(16, joints),
          );
          openIn(module, { data, frames, places, joints });
          module.letCome(1 << 13);
          const to = Number(module.TO.value);
          const out = frameOf(module);
          const rows: number[] = [];
          let count = 0;
          while (module.nextFrame(to)) {
            count++;
            for (let k = 0; k < 6; k++) expect(Math.abs(out[k]!)).toBeLessThanOrEqual(k < 3 ? 10_000 : 8);
            for (let k = 6; k < 22; k++) expect(Math.abs(out[k]!)).toBeLessThanOrEqual(10_000);
            for (const place of places) rows.push(Math.round(out[place]! / stepOf(place)));
          }
          const here = decodeShow(data, { places, frames, joints: Math.min(16, joints) });
          expect(count).toBe(here.count);
          expect(rows).toEqual([...here.steps]);
          expect(module.ended()).toBe(1);
          expect(module.isSpoilt()).toBe(here.spoilt ? 1 : 0);
        },
      ),
      { seed: SEED, numRuns: 200 },
    );
  });
});

describe('size and error', () => {
  const shared = (name: string): string => readFileSync(name, 'utf8');
  const rigOf = (text: string) => readRig(text).rig!;
  const owl = rigOf(shared('host/demo/night-owl.yaml'));
  const sampled = async (file: string): Promise<Sampled> =>
    sampleStream(await storeStream([readFileSync(file)], owl), owl);
  /** Largest error of a show at its frames, mm or deg. */
  async function worstError(file: string): Promise<number> {
    const stream = await storeStream([readFileSync(file)], owl);
    const frames = sampleStream(stream, owl);
    const data = encodeShow(frames, heatsOf(frames.count));
    const values = new Float64Array(stream.size);
    openIn(module, { data, frames: frames.count, places: frames.places, joints: JOINTS });
    module.letCome(1 << 13);
    let worst = 0;
    for (let n = 0; n < frames.count; n++) {
      expect(module.nextFrame(Number(module.TO.value))).toBe(1);
      const out = frameOf(module);
      stream.evaluate(stream.time(0) + n / FRAME_HZ, values);
      for (let k = 0; k < stream.size; k++) {
        const asked = values[k]!;
        const place = k < 6 ? k : k + 6;
        if (Number.isNaN(asked)) continue;
        worst = Math.max(worst, Math.abs(k < 3 ? out[place]! - asked : toDeg(out[place]! - asked)));
      }
    }
    return worst;
  }

  it.each(['host/demo/dusk.csv', 'tests/data/head.csv'])(
    '%s is played within 0.0101 mm and deg of what it says',
    async (file) => {
      expect(await worstError(file)).toBeLessThan(0.0101);
    },
  );

  /** The same motion over and over, there and back, with every value of it and more joints made of its turns. */
  function twentyMinutes({ places, steps, count }: Frames): Frames {
    const frames = 20 * 60 * FRAME_HZ;
    const n = places.length;
    const out = new Int32Array(frames * PLACES.length);
    for (let f = 0; f < frames; f++) {
      const lap = f % (2 * (count - 1));
      const from = lap < count ? lap : 2 * (count - 1) - lap;
      for (let i = 0; i < PLACES.length; i++) out[f * PLACES.length + i] = steps[from * n + (i % n)]!;
    }
    return { places: PLACES, steps: out, count: frames };
  }

  // 71 and 486 bytes a second: a made motion is smooth, a recorded one shakes.
  it.each([
    ['host/demo/dusk.csv', 90_000],
    ['tests/data/head.csv', 600_000],
  ])('twenty minutes of ten values like %s take at most %i bytes, far less than 1 MiB', async (file, most) => {
    const frames = twentyMinutes(await sampled(file));
    const data = encodeShow(frames, heatsOf(frames.count));
    expect(data.length).toBeLessThan(most);
    expect(data.length).toBeGreaterThan(0.9 * most);
    expect(frames.count % SEGMENT).toBe(0);
  });
});
