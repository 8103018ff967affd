/**
 * A board that speaks another version of the link is told from one that does not answer; and its clock is found from telemetry, which
 * travels for a while.
 */
import { describe, expect, it } from 'vitest';
import { encodeFrame } from '../../../host/controller/frames.ts';
import { PROTOCOL, TYPE } from '../../../host/controller/messages.ts';
import { Conversation, TargetError } from '../../../host/replay/conversation.ts';
import type { Proven, Target } from '../../../host/replay/target.ts';

/** Answers every frame with an "I am" of some version. */
function speaking(version: number, proven: Proven = 'hardware'): Target {
  return {
    name: 'serial:somewhere',
    proven,
    clock: 'none',
    open(listener) {
      let now_us = 0;
      return {
        get now_us() {
          return now_us;
        },
        sharesClock: true,
        write() {
          const iAm = new Uint8Array(21);
          iAm[0] = version;
          listener.bytes(encodeFrame(TYPE.iAm, 0, iAm));
        },
        advance(to_us) {
          now_us = to_us;
        },
        close: () => undefined,
      };
    },
  };
}
const silent = { telemetry: () => undefined };

it('the same version is taken', async () => {
  const talk = await Conversation.open(speaking(PROTOCOL), silent);
  expect((await talk.who()).protocol).toBe(PROTOCOL);
});

it('another one is refused in words, before anything is sent to it', async () => {
  const talk = await Conversation.open(speaking(PROTOCOL + 1), silent);
  const loading = talk.load(new Uint8Array(100));
  await expect(loading).rejects.toThrow(TargetError);
  await expect(loading).rejects.toThrow(
    `the board speaks version ${String(PROTOCOL + 1)} of the link, this program version ${String(PROTOCOL)}: flash it anew`,
  );
});

it.each([
  ['hardware', /^the board speaks version .*: flash it anew$/],
  ['emulator', /^the emulated board speaks version .*: build it anew$/],
  ['computer', /^the program on this computer speaks version .*: build it anew$/],
] as const)('%s is called what it is', async (proven, words) => {
  const talk = await Conversation.open(speaking(PROTOCOL + 1, proven), silent);
  await expect(talk.who()).rejects.toThrow(words);
  await expect((await Conversation.open(speaking(PROTOCOL, proven), silent)).rouse()).rejects.toThrow(
    new RegExp(`^${words.source.slice(1).split(' speaks')[0] ?? ''} does not answer`),
  );
});

describe('the clock of a controller that does not share ours', () => {
  /** Heard so long after it was sent, us; each sent 20 ms after the one before. Its clock is `ahead_us` ahead, and gains `gain`. */
  const heard = async (travels_us: readonly number[], ahead_us = 5_000_000, gain = 0): Promise<number[]> => {
    let hear: (bytes: Uint8Array) => void = () => undefined;
    let now_us = 0;
    const talk = await Conversation.open(
      {
        ...speaking(PROTOCOL),
        open: (listener) => {
          hear = listener.bytes;
          return {
            get now_us() {
              return now_us;
            },
            sharesClock: false,
            write: () => undefined,
            advance: () => undefined,
            close: () => undefined,
          };
        },
      },
      silent,
    );
    return travels_us.map((travel_us, n) => {
      const sent_us = 20_000 * (n + 1);
      const payload = new DataView(new ArrayBuffer(40));
      payload.setUint32(4, (sent_us * (1 + gain) + ahead_us) >>> 0, true);
      now_us = sent_us + travel_us;
      hear(encodeFrame(TYPE.telemetry, n & 0xff, new Uint8Array(payload.buffer)));
      return talk.offset_us;
    });
  };

  it('is taken from the telemetry that travelled least, whenever that was', async () => {
    const offsets = await heard([9000, 2000, 30_000, 8000]);
    expect(offsets[0]).toBe(5_000_000 - 9000);
    expect(offsets[1]).toBe(5_000_000 - 2000);
    // Let go by 100 millionths of 20 ms a frame.
    expect(offsets[2]).toBeCloseTo(5_000_000 - 2000 - 2, 6);
    expect(offsets[3]).toBeCloseTo(5_000_000 - 2000 - 4, 6);
  });

  it('is followed where it goes slower than ours, to within what telemetry travels', async () => {
    const slow = -50e-6;
    const offsets = await heard(
      Array.from({ length: 2000 }, (_, n) => 2000 + 500 * (n % 7)),
      5_000_000,
      slow,
    );
    const truth = 5_000_000 + slow * 20_000 * 2000;
    expect(Math.abs(offsets.at(-1)! - (truth - 2000))).toBeLessThan(20);
  });

  it('goes on where its 32 bits wrap', async () => {
    const offsets = await heard([1000, 1000, 1000, 1000], 2 ** 32 - 50_000);
    for (const offset of offsets) expect(Math.abs(offset - offsets[0]!)).toBeLessThan(1);
  });
});
