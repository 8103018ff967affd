/** Every board there is a folder for compiles, the empty one too, and is small. */
import { describe, expect, it } from 'vitest';
import { type Firmware, boardNames } from '../../host/firmware/compile.ts';
import { run } from '../host/cli/fixture.ts';
import { firmwareOf, has } from './firmware.ts';

const KIB = 1024;
/** pico: what stands before its pages for nights, and its RAM. f405: two sectors of code; 128 KiB of RAM, its stack included. */
const MOST: Readonly<Record<string, { readonly flash: number; readonly ram: number }>> = {
  pico: { flash: 96, ram: 192 },
  f405: { flash: 96, ram: 120 },
  template: { flash: 96, ram: 120 },
};

/** Firmware, and how big it is; of the empty board, which nothing else is tested on, by the command itself. */
async function firmware(name: string): Promise<Pick<Firmware, 'flash_used' | 'ram_used' | 'sha256'>> {
  if (name !== 'template') return firmwareOf(name);
  const { code, out } = await run(['build', '--board', name, '--json']);
  expect(code).toBe(0);
  const made = JSON.parse(out) as Firmware;
  expect(Object.keys(made)).toEqual(['image', 'bytes', 'flash_used', 'ram_used', 'sha256']);
  return made;
}

describe.skipIf(!has('gcc', 'arm-none-eabi-gcc'))('posewright build', () => {
  it.each(boardNames('boards'))('%s', async (name) => {
    const { flash_used, ram_used, sha256 } = await firmware(name);
    expect(sha256).toMatch(/^[0-9a-f]{64}$/);
    // The native board carries sanitizers.
    if (name === 'native') return;
    expect(flash_used).toBeGreaterThan(8 * KIB);
    expect(flash_used).toBeLessThanOrEqual(MOST[name]!.flash * KIB);
    expect(ram_used).toBeGreaterThan(16 * KIB);
    // An arena of 104 KiB, three quarters of it the last two minutes, and on the pico the code that runs from memory.
    expect(ram_used).toBeLessThanOrEqual(MOST[name]!.ram * KIB);
  });
});
