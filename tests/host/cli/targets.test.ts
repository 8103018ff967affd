/** `--on usb`: the board that is found is named, and used as a serial port is. */
import { describe, expect, it } from 'vitest';
import type { Io } from '../../../host/cli/io.ts';
import { isPort, targetFault, targetOf } from '../../../host/cli/targets.ts';
import type { FoundPort } from '../../../host/targets/usb.ts';

async function found(on: string, ports: readonly FoundPort[]): Promise<{ name: string; proven: string; told: string }> {
  let told = '';
  const io: Io = {
    stdout: { write: () => undefined },
    stderr: { write: (text: string) => (told += text) },
    stdin: (async function* () {})(),
    env: {},
    now: () => 0,
    onInterrupt: () => undefined,
  };
  const { name, proven } = await targetOf(on, io, { ports: () => Promise.resolve(ports), system: 'linux' });
  return { name, proven, told };
}

const owl: FoundPort = { path: '/dev/ttyACM0', manufacturer: 'posewright', serialNumber: '12\u001b34' };
const stork: FoundPort = { path: '/dev/ttyACM1', manufacturer: 'posewright', serialNumber: '56' };

describe('usb', () => {
  it('is a target, whose board somebody has plugged in', () => {
    expect([targetFault('usb'), targetFault('usb:56'), isPort('usb'), isPort('usb:56')]).toEqual([
      null,
      null,
      true,
      true,
    ]);
    expect([targetFault('usb:'), isPort('sim')]).toEqual([expect.stringMatching(/is not a target/), false]);
  });

  it('is the board that there is, named without what steers a terminal', async () => {
    const { name, proven, told } = await found('usb', [owl]);
    expect([name, proven]).toEqual(['serial:/dev/ttyACM0', 'hardware']);
    expect(told).toMatch(/^the posewright board on \/dev\/ttyACM0, serial 12\S*34\n$/);
    expect(told).not.toMatch(/\u001b/);
  });

  it('is the one that is meant, and no board is a refusal', async () => {
    expect((await found('usb:56', [owl, stork])).name).toBe('serial:/dev/ttyACM1');
    await expect(found('usb', [owl, stork])).rejects.toThrow(/2 posewright boards are on USB/);
    await expect(found('usb', [])).rejects.toThrow(/no posewright board is on USB/);
  });
});
