/** Every row of the guard's table on a board (the native one), and the stop input in every state and category. */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, afterEach, beforeAll, describe, expect, it } from 'vitest';
import { RESET } from '../../host/controller/controller.ts';
import { RESULT, type StateName, TRIPS, TYPE } from '../../host/controller/messages.ts';
import { toDeg } from '../../host/rig/rig.ts';
import type { RigOptions } from '../assembly/rigs.ts';
import { NativeProp, pulsing } from './native-prop.ts';
import { firmwareOf, has } from './firmware.ts';

const JOINTS = 8;
const LOOK = [4, 3, 2, 0.05, 0, 0.05, 0.2, 0.5] as const;
let folder = '';
let prop: NativeProp;
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'posewright-guard-'));
  if (has('gcc')) firmwareOf('native');
});
afterEach(async () => {
  // A sanitizer's finding would be another status.
  expect(await prop.end()).toBe(0);
});
afterAll(() => {
  rmSync(folder, { recursive: true });
});

const live = async (options: RigOptions = {}, environment: Readonly<Record<string, string>> = {}): Promise<void> => {
  prop = await NativeProp.start(options, environment);
  await prop.rouse();
};
const files = (name: string): Record<string, string> => ({
  POSEWRIGHT_FLASH: join(folder, `${name}-flash`),
  POSEWRIGHT_KEPT: join(folder, `${name}-kept`),
});

/** Brings it into a state; from live by the events of the table. */
const WAYS: readonly (readonly [StateName, () => Promise<unknown>])[] = [
  ['limp', async () => undefined],
  [
    'rousing',
    async () => {
      await prop.ask(TYPE.rouse);
      // All pulses are on, and the nod is on its way home.
      await prop.seconds(3.8);
    },
  ],
  [
    'live',
    async () => {
      await prop.rouse();
      await prop.feed(0.5, ...LOOK);
    },
  ],
  [
    'holding',
    async () => {
      await prop.rouse();
      await prop.feed(0.5, ...LOOK);
      await prop.ask(TYPE.pause);
    },
  ],
  [
    'settling',
    async () => {
      await prop.rouse();
      await prop.feed(0.5, ...LOOK);
      await prop.ask(TYPE.settle);
    },
  ],
  [
    'tripped',
    async () => {
      await prop.rouse();
      await prop.feed(0.5, ...LOOK);
      await chaos();
    },
  ],
];

async function chaos(): Promise<void> {
  for (let n = 0; n < 60 && prop.state !== 'tripped'; n++)
    await prop.run(1, Uint8Array.of(9, 9, 0, 9, 0, 9, 9, 0, 9, 0));
}

describe.skipIf(!has('gcc'))('limp', () => {
  it('rouses only with a rig, and with the stop loop closed', async () => {
    prop = NativeProp.silent({}, {});
    expect(await prop.ask(TYPE.rouse)).toBe(RESULT.noRig);
    expect(pulsing(await prop.run(5))).toBe(0);
    await prop.end();
    prop = await NativeProp.start();
    prop.stopOpen = true;
    expect(await prop.ask(TYPE.rouse)).toBe(RESULT.notNow);
    prop.stopOpen = false;
    expect(await prop.ask(TYPE.rouse)).toBe(RESULT.done);
    expect(prop.state).toBe('rousing');
  });
});

describe.skipIf(!has('gcc'))('rousing', () => {
  it('has each first pulse alone, at the rest, then goes home slowly and is live', async () => {
    prop = await NativeProp.start({ rest: [-6, 0, 0, 0, 0, 0] });
    const counts: number[] = [];
    let fastest = 0;
    prop.watch = (tick) => {
      if (counts.at(-1) !== pulsing(tick)) counts.push(pulsing(tick));
      if (counts.at(-1) !== JOINTS) expect(Math.max(...prop.telemetry.rise, ...prop.telemetry.fall)).toBe(0);
      fastest = Math.max(fastest, ...prop.telemetry.rise.map((step) => toDeg(step) * 50));
    };
    await prop.rouse();
    expect(counts.filter((n) => n > 0)).toEqual([1, 2, 3, 4, 5, 6, 7, 8]);
    expect(fastest).toBeGreaterThan(1);
    expect(fastest).toBeLessThan(20.01);
  });

  it('has its first pulses where the joints were before a reset', async () => {
    await live({}, files('places'));
    await prop.feed(1, ...LOOK);
    const before = [...(await prop.seconds(0.6)).pulses];
    await prop.end();
    prop = NativeProp.silent({}, { ...files('places'), POSEWRIGHT_RESET: String(RESET.pin) });
    let first: number[] = [];
    prop.watch = (tick) => {
      if (first.length === 0 && pulsing(tick) === JOINTS) first = [...tick.pulses];
    };
    expect(await prop.ask(TYPE.rouse)).toBe(RESULT.done);
    await prop.seconds(0.5 * JOINTS);
    expect(first).toEqual(before);
  });

  it('settles when told to', async () => {
    prop = await NativeProp.start();
    await prop.ask(TYPE.rouse);
    await prop.seconds(3.8);
    expect(await prop.ask(TYPE.settle)).toBe(RESULT.done);
    expect(prop.state).toBe('settling');
    await prop.until('limp');
  });
});

describe.skipIf(!has('gcc'))('live and holding', () => {
  it('holds 250 ms after the last frame, is live with the next, settles by itself after hold_s', async () => {
    await live({ hold_s: 2 });
    await prop.feed(1, ...LOOK);
    expect(prop.state).toBe('live');
    await prop.seconds(0.4);
    expect(prop.state).toBe('holding');
    await prop.feed(0.2, ...LOOK);
    expect(prop.state).toBe('live');
    await prop.seconds(2);
    expect(prop.state).toBe('holding');
    await prop.seconds(0.6);
    expect(prop.state).toBe('settling');
  });

  it('holds when paused, and settles when told to', async () => {
    await live();
    await prop.feed(0.5, ...LOOK);
    expect(await prop.ask(TYPE.pause)).toBe(RESULT.done);
    expect(prop.state).toBe('holding');
    expect(await prop.ask(TYPE.settle)).toBe(RESULT.done);
    expect(prop.state).toBe('settling');
  });
});

describe.skipIf(!has('gcc'))('settling', () => {
  it('ends at the rest, without pulses; a rest that needs power keeps them', async () => {
    for (const restKind of ['on_stop', 'powered'] as const) {
      await live({ restKind });
      await prop.feed(0.5, ...LOOK);
      await prop.ask(TYPE.settle);
      const tick = await prop.seconds(5);
      prop.rig.joints.forEach((joint, i) => expect(prop.telemetry.position[i]).toBeCloseTo(joint.rest, 5));
      expect([prop.state, pulsing(tick), tick.power]).toEqual(
        restKind === 'powered' ? ['settling', JOINTS, true] : ['limp', 0, false],
      );
      expect(prop.telemetry.resting).toBe(restKind === 'powered');
      if (restKind === 'on_stop') await prop.end();
    }
  });

  it('is roused again on its way', async () => {
    await live();
    await prop.feed(0.5, ...LOOK);
    await prop.ask(TYPE.settle);
    expect(await prop.ask(TYPE.rouse)).toBe(RESULT.done);
    await prop.until('live');
  });
});

describe.skipIf(!has('gcc'))('tripped', () => {
  const trips: [string, () => Promise<unknown>][] = [
    ['link', chaos],
    [
      'late',
      async () => {
        prop.late = true;
        await prop.run(60);
        prop.late = false;
      },
    ],
    [
      'supply',
      async () => {
        prop.supply_mv = 5900;
        await prop.run(8);
      },
    ],
  ];
  it.each(trips)('by %s: settles, then off; cleared only at rest', async (reason, disturb) => {
    await live({ low_v: 6 });
    await prop.feed(0.5, ...LOOK);
    await disturb();
    expect([prop.state, TRIPS[prop.telemetry.trip]]).toEqual(['tripped', expect.stringContaining(reason)]);
    expect(await prop.ask(TYPE.clear)).toBe(RESULT.notNow);
    expect(pulsing(await prop.run(1))).toBe(JOINTS);
    const tick = await prop.seconds(6);
    expect([prop.state, pulsing(tick), tick.power]).toEqual(['tripped', 0, false]);
    expect(await prop.ask(TYPE.rouse)).toBe(RESULT.notNow);
    expect(await prop.ask(TYPE.clear)).toBe(RESULT.done);
    expect(prop.state).toBe('limp');
  });

  it('survives a reset, and does not survive a loss of power', async () => {
    await live({}, files('latched'));
    await chaos();
    expect(prop.state).toBe('tripped');
    await prop.end();
    prop = NativeProp.silent({}, { ...files('latched'), POSEWRIGHT_RESET: String(RESET.pin) });
    await prop.ask(prop.send.report(1));
    expect(prop.state).toBe('tripped');
    await prop.end();
    prop = NativeProp.silent({}, { ...files('latched'), POSEWRIGHT_RESET: String(RESET.power) });
    await prop.ask(prop.send.report(1));
    expect(prop.state).toBe('limp');
  });
});

describe.skipIf(!has('gcc')).each(['input', 'message'] as const)('stop by %s', (by) => {
  describe.each([0, 1, 2] as const)('of category %i', (stopCategory) => {
    it.each(WAYS)('in %s', async (state, way) => {
      prop = await NativeProp.start({ stopCategory });
      await way();
      expect(prop.state).toBe(state);
      const before = pulsing(await prop.run(1));
      prop.stopOpen = by === 'input';
      let tick = await prop.run(1, by === 'message' ? prop.send.command(TYPE.stop) : undefined);
      if (stopCategory === 0) {
        // At once, in every state.
        expect([pulsing(tick), tick.power]).toEqual([0, false]);
        expect(prop.state).toBe(state === 'tripped' ? 'tripped' : 'limp');
        return;
      }
      const moves = state !== 'limp' && state !== 'tripped';
      expect(prop.state).toBe(moves ? 'settling' : state);
      expect(pulsing(tick)).toBe(before);
      tick = await prop.seconds(8);
      const stays = stopCategory === 2 && moves;
      expect(prop.state).toBe(stays ? 'settling' : state === 'tripped' ? 'tripped' : 'limp');
      expect([pulsing(tick), tick.power]).toEqual(stays ? [before, true] : [0, false]);
      expect(prop.telemetry.resting).toBe(stays);
    });
  });
});
