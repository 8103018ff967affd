/** `bringup --do` on a real board asks before anything moves, or does not move. The board is the simulation under another name. */
import { readFileSync } from 'node:fs';
import { afterAll, beforeEach, describe, expect, it, vi } from 'vitest';
import { OWL, needController, scratch } from './fixture.ts';
import { HardwareOnSim, runBefore } from './hardware-on-sim.ts';

needController();
const files = scratch();
afterAll(() => {
  files.remove();
});

let prop = new HardwareOnSim();
beforeEach(() => {
  prop = new HardwareOnSim();
});
vi.mock('../../../host/cli/targets.ts', async (original) => ({
  ...(await original<object>()),
  targetOf: () => Promise.resolve(prop.target),
}));

const ON = ['--on', 'serial:/dev/somewhere'];
const enter = (text: string): string | null => (text.includes('press Enter') ? '\n' : null);

describe('bringup --do on a real board', () => {
  it('without a terminal is refused, and nothing moves', async () => {
    const rig = files.put('none.yaml', OWL);
    const { code, err } = await runBefore(['bringup', rig, ...ON, '--do', 'walk lid']);
    expect(code).toBe(2);
    expect(err).toMatch(/no terminal at which somebody could be asked first.*--hands-clear/);
    expect(prop.pulses).toEqual([]);
    // What moves nothing may be asked without either.
    expect((await runBefore(['bringup', rig, ...ON, '--do', 'state'])).code).toBe(0);
  });

  it('moves with --hands-clear, without asking', async () => {
    const rig = files.put('clear.yaml', OWL);
    const { code, out } = await runBefore(['bringup', rig, ...ON, '--hands-clear', '--do', 'walk lid binds=40']);
    expect([code, out]).toEqual([0, expect.not.stringContaining('rehearsal') as string]);
    expect(prop.pulses.length).toBeGreaterThan(100);
    expect(readFileSync(rig, 'utf8')).toContain('walked_deg');
  });

  it('at a terminal asks before the first motion of every verb', async () => {
    const rig = files.put('asks.yaml', OWL);
    const asked: [string, number][] = [];
    const types = (text: string): string | null => {
      if (text.includes('press Enter')) asked.push([text, prop.pulses.length]);
      return enter(text);
    };
    const words = ['--do', 'jog nod 5', '--do', 'jog nod 5', '--do', 'state'];
    const { code, out } = await runBefore(['bringup', rig, ...ON, ...words], { types });
    expect(code).toBe(0);
    expect(asked.map(([text]) => text)).toEqual([
      expect.stringMatching(/^Place nod at its rest, -20 deg/),
      expect.stringMatching(/^Next is "jog nod 5", and the prop is awake: hands clear/),
    ]);
    expect(asked[0]![1]).toBe(0);
    expect(out).toContain('nod stands at -10 deg');
  });

  it('asks at the terminal for readings that were not given', async () => {
    const rig = files.put('reads.yaml', OWL);
    const types = (text: string): string | null =>
      enter(text) ?? (text.startsWith('Read the angle of leg1') ? '0.1\n' : null);
    const { code } = await runBefore(['bringup', rig, ...ON, '--do', 'centre leg1 --rods-off'], { types });
    expect(code).toBe(0);
    expect(readFileSync(rig, 'utf8')).toContain('centre_us: 1499');
  });

  it('answered with s instead of Enter settles, and nothing has moved', async () => {
    const rig = files.put('s.yaml', OWL);
    const types = (text: string): string | null => (text.includes('press Enter') ? 's\n' : null);
    const { code, out } = await runBefore(['bringup', rig, ...ON, '--do', 'walk lid'], { types });
    expect([code, out]).toEqual([1, expect.stringContaining('Walk ended early: settled by you') as string]);
    expect(prop.pulses).toEqual([]);
    expect(readFileSync(rig, 'utf8')).toBe(OWL);
  });

  it('of the console needs no promise', async () => {
    const rig = files.put('console.yaml', OWL);
    const { code, err } = await runBefore(['bringup', rig, ...ON, '--hands-clear'], { types: () => null });
    expect([code, err]).toEqual([2, expect.stringMatching(/--hands-clear.*a console always asks/)]);
  });
});

describe('on the way', () => {
  it('Ctrl-C settles, and nothing is written', async () => {
    const rig = files.put('interrupt.yaml', OWL);
    const { code, out } = await runBefore(['bringup', rig, ...ON, '--hands-clear', '--do', 'walk lid'], {
      interruptsAt: 'Place lid',
    });
    expect([code, out]).toEqual([1, expect.stringContaining('Walk ended early: settled by you') as string]);
    expect(out).toContain('The prop has settled');
    expect(readFileSync(rig, 'utf8')).toBe(OWL);
  });

  it('a signal at the console settles, and leaves it', async () => {
    const rig = files.put('signal.yaml', OWL);
    const types = (text: string): string | null => {
      if (text.startsWith('Caution')) return 'rouse lid\n';
      return text.startsWith('Place lid') ? '\n' : null;
    };
    const { code, out } = await runBefore(['bringup', rig, ...ON], { types, interruptsAt: 'It is live' });
    expect([code, out]).toEqual([0, expect.stringContaining('The prop has settled') as string]);
  }, 20_000);

  it('a pulled cable is said, with exit code 1, and nothing is written', async () => {
    const rig = files.put('pulled.yaml', OWL);
    prop.pulledAfter = 200;
    const { code, err } = await runBefore(['bringup', rig, ...ON, '--hands-clear', '--do', 'walk lid', '--json']);
    expect([code, err]).toEqual([1, expect.stringMatching(/the board no longer answers: is the cable in/)]);
    expect(readFileSync(rig, 'utf8')).toBe(OWL);
  });

  it('a rig file that somebody else has changed is left as it is', async () => {
    const rig = files.put('meanwhile.yaml', OWL);
    const sees = (text: string): void => {
      if (text.includes('Place lid')) files.put('meanwhile.yaml', `${OWL}# mine\n`);
    };
    const { code, out } = await runBefore(['bringup', rig, ...ON, '--hands-clear', '--do', 'walk lid'], { sees });
    expect([code, out]).toEqual([1, expect.stringMatching(/changed by somebody else meanwhile: nothing is written/)]);
    expect(readFileSync(rig, 'utf8')).toBe(`${OWL}# mine\n`);
  });
});
