/** A board that speaks another version of the link is told from one that does not answer. */
import { expect, it } from 'vitest';
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
    `the board speaks version ${String(PROTOCOL + 1)} of the link protocol, this program version ${String(PROTOCOL)}: flash it again`,
  );
});

it.each([
  ['hardware', /^the board speaks version .*: flash it again$/],
  ['emulator', /^the emulated board speaks version .*: build it again$/],
  ['computer', /^the program on this computer speaks version .*: build it again$/],
] as const)('%s is called what it is', async (proven, words) => {
  const talk = await Conversation.open(speaking(PROTOCOL + 1, proven), silent);
  await expect(talk.who()).rejects.toThrow(words);
  await expect((await Conversation.open(speaking(PROTOCOL, proven), silent)).rouse()).rejects.toThrow(
    new RegExp(`^${words.source.slice(1).split(' speaks')[0] ?? ''} does not answer`),
  );
});
