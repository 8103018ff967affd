/** The pico's pins while its line is full: the demo's liveliest seconds. `npm run bench:boards -- pins` watches all of it. */
import { describe, expect, it, vi } from 'vitest';
import { watchPins } from '../../host/build/bench/boards/pins.ts';
import { demoRig } from '../../host/build/bench/boards/rerun.ts';
import { liveliest } from '../../host/build/bench/boards/scripts.ts';
import { firmwareOf, has } from './firmware.ts';

// Emulators are slow on a busy machine.
vi.setConfig({ testTimeout: 600_000 });
const SECONDS = 2;

describe.skipIf(!has('arm-none-eabi-gcc'))('pulses at the pins of the pico', () => {
  it('are as wide as asked and a servo frame apart, to 1 us, with the line full in both directions', async () => {
    const rig = demoRig();
    const part = await liveliest(rig, 'host/demo/dusk.csv', SECONDS);
    const seen = await watchPins(rig, 'host/demo/dusk.csv', part, firmwareOf('pico'));
    expect(seen).toMatchObject({ pins: rig.joints.length, busy_in: 1, faults: [] });
    expect(seen.busy_out).toBeGreaterThan(0.99);
    expect(seen.liveTicks).toBeGreaterThan(SECONDS * 200);
    expect(seen.pulses).toBeGreaterThan(SECONDS * 50 * rig.joints.length);
    expect(seen.widths).toBeGreaterThan(300);
    expect(seen.width_error_us).toBeLessThanOrEqual(1);
    expect(seen.period_error_us).toBeLessThanOrEqual(1);
  });
});
