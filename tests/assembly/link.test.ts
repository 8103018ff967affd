/** What the link takes and what it refuses: image chunks, pose frames and bytes that the board could not keep. */
import { describe, expect, it } from 'vitest';
import { encodeFrame } from '../../host/controller/frames.ts';
import { packImage } from '../../host/controller/image.ts';
import { RING, RX_BYTES } from '../../host/controller/layout.ts';
import { COUNTERS, RESULT, TYPE } from '../../host/controller/messages.ts';
import { Prop, WASM } from './prop.ts';
import { rigOf } from './rigs.ts';

const counter = (prop: Prop, name: (typeof COUNTERS)[number]): number =>
  prop.telemetry.counters[COUNTERS.indexOf(name)]!;

describe('an image in chunks', () => {
  const image = packImage(rigOf({ hz: 400 }));
  const beyond = Uint8Array.of(...image, 1);
  const prop = new Prop(rigOf());
  const say = (type: number, payload: Uint8Array): number => {
    prop.answers.length = 0;
    prop.tell(encodeFrame(type, 7, payload));
    prop.run(1);
    return prop.answers.at(-1)!.result;
  };
  const u16 = (value: number): number[] => [value & 0xff, value >> 8];
  const begin = (bytes: number): number => say(TYPE.imageBegin, Uint8Array.from(u16(bytes)));
  const chunk = (offset: number, bytes: number): number =>
    say(TYPE.imageChunk, Uint8Array.of(...u16(offset), ...beyond.subarray(offset, offset + bytes)));

  it('has no more bytes than were announced, in one chunk or in several', () => {
    expect(begin(100)).toBe(RESULT.done);
    expect(chunk(0, 101)).toBe(RESULT.malformed);
    expect(chunk(0, 60)).toBe(RESULT.done);
    expect(chunk(60, 41)).toBe(RESULT.malformed);
    expect(chunk(60, 40)).toBe(RESULT.done);
    expect(chunk(100, 1)).toBe(RESULT.malformed);
  });

  it('has them in order; a chunk that is repeated is taken once', () => {
    expect(begin(image.length)).toBe(RESULT.done);
    expect(chunk(1, 20)).toBe(RESULT.malformed);
    for (let at = 0; at < image.length; at += 128) {
      const bytes = Math.min(128, image.length - at);
      expect(chunk(at, bytes)).toBe(RESULT.done);
      expect(chunk(at, bytes)).toBe(RESULT.done);
    }
    expect(chunk(image.length - 20, 21)).toBe(RESULT.malformed);
    prop.tell(prop.send.command(TYPE.imageCommit));
    prop.run(2);
    expect(prop.answers.at(-1)).toMatchObject({ type: TYPE.imageCommit, result: RESULT.done });
    expect([...prop.controller.storedImage()]).toEqual([...image]);
  });

  it('is not longer than any image, and is not begun without a length', () => {
    expect(begin(1525)).toBe(RESULT.malformed);
    expect(say(TYPE.imageBegin, Uint8Array.of(1))).toBe(RESULT.malformed);
    expect(chunk(0, 20)).toBe(RESULT.malformed);
  });
});

describe('a pose frame', () => {
  /** Instant `ahead_us` from now; joints named by `mask`, a value for each. */
  const poseFrame = (
    prop: Prop,
    ahead_us: number,
    mask: number,
    joints: readonly number[],
    pose: readonly number[] = [],
  ): Uint8Array => {
    const payload = new DataView(new ArrayBuffer(32 + 4 * joints.length));
    payload.setUint32(0, (prop.now_us + ahead_us) >>> 0, true);
    payload.setUint16(4, mask, true);
    pose.forEach((value, i) => payload.setFloat32(8 + 4 * i, value, true));
    joints.forEach((value, i) => payload.setFloat32(32 + 4 * i, value, true));
    return encodeFrame(TYPE.pose, 9, new Uint8Array(payload.buffer));
  };
  const live = (): Prop => {
    const prop = new Prop(rigOf());
    prop.rouse();
    return prop;
  };
  const tell = (prop: Prop, frame: Uint8Array): void => {
    prop.tell(frame);
    prop.run(1);
  };

  it('names joints that are no legs, and no joint that the rig has not', () => {
    const prop = live();
    // Nod and lid are the joints 6 and 7 of eight.
    tell(prop, poseFrame(prop, 300_000, 0b1100_0000, [0.1, 0.1]));
    tell(prop, poseFrame(prop, 310_000, 0b0100_0000, [0.1]));
    expect([prop.telemetry.queued, counter(prop, 'value')]).toEqual([2, 0]);
    for (const mask of [0b0000_0001, 0b0010_0000, 0b0110_0000, 0b1_0000_0000])
      tell(prop, poseFrame(prop, 320_000, mask, mask === 0b0110_0000 ? [0.1, 0.1] : [0.1]));
    expect([prop.telemetry.queued, counter(prop, 'value')]).toEqual([2, 4]);
  });

  it('has as many values as it names joints, and only such as a pose has', () => {
    const prop = live();
    tell(prop, poseFrame(prop, 300_000, 0b1100_0000, [0.1]));
    tell(prop, poseFrame(prop, 300_000, 0b0100_0000, [0.1, 0.1]));
    tell(prop, poseFrame(prop, 300_000, 0, [], [10_001]));
    tell(prop, poseFrame(prop, 300_000, 0, [], [0, 0, 0, -8.1]));
    tell(prop, poseFrame(prop, 300_000, 0, [], [NaN]));
    tell(prop, poseFrame(prop, 300_000, 0b0100_0000, [Infinity]));
    expect([prop.telemetry.queued, counter(prop, 'value')]).toEqual([0, 6]);
  });

  it('of an instant that waits already is counted as doubled, and the first one stays', () => {
    const prop = live();
    const at_us = prop.now_us;
    const frame = (offset_us: number, nod: number): Uint8Array =>
      poseFrame(prop, at_us + offset_us - prop.now_us, 0b0100_0000, [nod]);
    tell(prop, frame(50_000, 0));
    tell(prop, frame(450_000, 0.1));
    tell(prop, frame(450_000, -0.3));
    expect([prop.telemetry.queued, counter(prop, 'doubled')]).toEqual([2, 1]);
    tell(prop, frame(50_000, -0.3));
    expect([prop.telemetry.queued, counter(prop, 'doubled')]).toEqual([2, 2]);
    prop.seconds(0.7);
    expect(prop.telemetry.position[6]).toBeCloseTo(0.1, 5);
  });

  it('of which there is no room for is counted as full', () => {
    const prop = live();
    for (let n = 0; n < 70; n++) tell(prop, poseFrame(prop, 1_000_000 + 1000 * n, 0, []));
    expect([prop.telemetry.queued, counter(prop, 'full')]).toEqual([64, 6]);
  });
});

describe('a ring that the board has overrun', () => {
  it('joins no frame of what came before and what came after', () => {
    // The board's side of the ring itself: the host's wrapper never overruns it.
    const exports = new WebAssembly.Instance(new WebAssembly.Module(WASM)).exports as unknown as {
      memory: WebAssembly.Memory;
      rx: WebAssembly.Global<'i32'>;
      tx: WebAssembly.Global<'i32'>;
      init(): number;
      tick(): void;
    };
    const { memory, init, tick } = exports;
    const [rx, tx] = [exports.rx.value, exports.tx.value];
    const view = new DataView(memory.buffer);
    let head = 0;
    const put = (bytes: Uint8Array): void => {
      for (const byte of bytes) view.setUint8(rx + RING.data + (head++ & (RX_BYTES - 1)), byte);
      view.setUint32(rx + RING.head, head, true);
      tick();
    };
    const said = (): number => view.getUint32(tx + RING.head, true);
    const who = encodeFrame(TYPE.who, 1, new Uint8Array(0));

    init();
    put(who.subarray(0, 3));
    put(who.subarray(3));
    const once = said();
    expect(once, 'in two pieces it is answered').toBeGreaterThan(0);

    put(who.subarray(0, 3));
    head += RX_BYTES + 1;
    put(new Uint8Array(0));
    put(who.subarray(3));
    expect(said(), 'with something missing in between it is not').toBe(once);
    expect(view.getUint32(rx + RING.tail, true)).toBe(head);

    put(who);
    expect(said(), 'the next whole frame is').toBeGreaterThan(once);
  });
});

it('has no boot loader to enter where the board has none, and goes on', () => {
  const prop = new Prop(rigOf());
  for (const type of [TYPE.boot, TYPE.rouse]) {
    prop.tell(prop.send.command(type));
    prop.run(1);
  }
  expect(prop.answers.slice(-2).map(({ type, result }) => [type, result])).toEqual([
    [TYPE.boot, RESULT.notNow],
    [TYPE.rouse, RESULT.done],
  ]);
});
