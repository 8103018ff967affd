/** A real board gets a rig that was not walked slowly, and says so. The board is the simulation under another name. */
import { afterAll, describe, expect, it, vi } from 'vitest';
import { GENTLE, OWL, needController, scratch } from './fixture.ts';
import { HardwareOnSim, runBefore } from './hardware-on-sim.ts';

needController();
const files = scratch();
afterAll(() => {
  files.remove();
});
vi.mock('../../../host/cli/targets.ts', async (original) => ({
  ...(await original<object>()),
  targetOf: () => Promise.resolve(new HardwareOnSim().target),
}));

const ON = ['--on', 'serial:/dev/somewhere'];
const WALKED = OWL.replace(/leg(\d): \{ pin/g, 'leg$1: { walked_deg: [-60, 60], pin')
  .replace('    limit_deg: [-28, 25]', '    limit_deg: [-28, 25]\n    walked_deg: [-28, 25]')
  .replace('limit_deg: [0, 55]', 'limit_deg: [0, 55], walked_deg: [0, 55]');

describe('a real board', () => {
  it.each([
    ['not walked', OWL, true],
    ['walked', WALKED, false],
  ])('of a rig that is %s', async (name, text, isSlow) => {
    const rig = files.put(`${name.replace(' ', '-')}.yaml`, text);
    const slow = /it moves at 20 deg\/s \(10 mm\/s\) at most: no joint has been walked through/;
    const sent = await runBefore(['send', rig, ...ON]);
    expect(slow.test(sent.out)).toBe(isSlow);
    const replayed = await runBefore(['replay', rig, files.put('gentle.csv', GENTLE), ...ON]);
    expect(slow.test(replayed.out + replayed.err)).toBe(isSlow);
  });
});
