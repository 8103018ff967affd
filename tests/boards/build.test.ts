/** Every board there is a folder for compiles, the empty one too, and is small; the command says how small. */
import { describe, expect, it } from 'vitest';
import { boardNames } from '../../host/firmware/compile.ts';
import { run } from '../host/cli/fixture.ts';
import { firmwareOf, has } from './firmware.ts';

const KIB = 1024;

describe.skipIf(!has('gcc', 'arm-none-eabi-gcc'))('posewright build', () => {
  it.each(boardNames('boards'))('%s', (name) => {
    const { flash_used, ram_used, sha256 } = firmwareOf(name);
    expect(sha256).toMatch(/^[0-9a-f]{64}$/);
    // The native board carries sanitizers.
    if (name === 'native') return;
    expect(flash_used).toBeGreaterThan(8 * KIB);
    expect(flash_used).toBeLessThanOrEqual(128 * KIB);
    expect(ram_used).toBeGreaterThan(16 * KIB);
    // An arena of 112 KiB, and on the pico the code that runs from memory.
    expect(ram_used).toBeLessThanOrEqual(192 * KIB);
  });

  it('prints what it made', async () => {
    const { code, out } = await run(['build', '--board', 'template', '--json']);
    expect(code).toBe(0);
    expect(Object.keys(JSON.parse(out) as object)).toEqual(['image', 'bytes', 'flash_used', 'ram_used', 'sha256']);
    const { out: words } = await run(['build', '--board', 'template']);
    expect(words).toMatch(/KiB of flash, .* KiB of memory/);
  });
});
