/** A night in the flash of the emulated pico: its own driver, over NOR flash that is emulated command by command. */
import { expect, it } from 'vitest';
import { RESULT } from '../../host/controller/messages.ts';
import { Conversation } from '../../host/replay/conversation.ts';
import { listNight, removeShow, sendNight } from '../../host/shows/send.ts';
import { picoTarget } from '../../host/targets/pico.ts';
import { IMAGE, nightOf } from '../host/shows/nights.ts';
import { firmwareOf, has } from './firmware.ts';

it.skipIf(!has('arm-none-eabi-gcc'))('is stored, read back, checked and removed', { timeout: 300_000 }, async () => {
  const target = picoTarget({ uf2: firmwareOf('pico').image });
  const talk = await Conversation.open(target, { telemetry: () => undefined });
  try {
    expect(await talk.store(IMAGE)).toBe(true);
    expect(await listNight(talk)).toBe(RESULT.noNight);
    expect(await sendNight(talk, nightOf({ names: ['dusk', 'dawn'] }))).toBe(RESULT.done);
    await talk.until(() => false, 200_000);
    expect(await listNight(talk)).toMatchObject([
      { name: 'dusk', checked: true, damaged: false, removed: false, sequence: 1 },
      { name: 'dawn', checked: true, damaged: false, removed: false },
    ]);
    expect(await removeShow(talk, 0)).toBe(RESULT.done);
    expect(await listNight(talk)).toMatchObject([{ removed: true }, { removed: false }]);
    // 7648 pages: halves of 238 sectors.
    expect(await sendNight(talk, new Uint8Array(3809 * 256))).toBe(RESULT.noRoom);
    expect(await sendNight(talk, new Uint8Array(3808 * 256))).toBe(RESULT.malformed);
  } finally {
    await talk.session.close();
  }
});
