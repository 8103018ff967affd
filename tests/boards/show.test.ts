/**
 * A packed show is the same to the bit on every board: sent over the link into the board's pages, started, played out of them by the board
 * alone, beside the controller in V8. Of the f405 main.c and the controller are its own; its flash a debugger stands in for.
 */
import { describe, expect, it, vi } from 'vitest';
import { nightShow, showScript } from '../../host/build/bench/boards/night-show.ts';
import { Twins } from '../../host/build/bench/boards/parity.ts';
import { BOARD_NAMES } from '../../host/build/bench/boards/stepped.ts';
import { firmwareOf, has } from './firmware.ts';

const TOOLS = { native: ['gcc'], f405: ['arm-none-eabi-gcc', 'qemu-system-arm'], pico: ['arm-none-eabi-gcc'] };
const SECONDS = 3;
vi.setConfig({ testTimeout: 600_000 });

describe.each(BOARD_NAMES)('on %s', (name) => {
  it.skipIf(!has(...TOOLS[name]))('the bits of V8', async () => {
    const show = await nightShow(SECONDS);
    const twins = await Twins.start(name, firmwareOf(name), show.rig);
    try {
      const parity = await twins.play(showScript(show, SECONDS, twins.watched));
      expect(parity).toMatchObject({ differing: 0, missing: 0, first: null });
      // It has played: the platform and the joints have moved, as no rousing moves them.
      expect(parity.widths.size).toBeGreaterThan(150);
      expect(parity.pulsing).toBeGreaterThan((SECONDS + 3) * show.rig.motion.tick_hz);
    } finally {
      await twins.board.close();
    }
  });
});
