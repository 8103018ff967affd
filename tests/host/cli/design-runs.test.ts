/** Searches that are stopped and gone on with, searches by the clock, and linear platforms, through the whole command. */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { z } from 'zod';
import { readRig } from '../../../host/rig/read.ts';
import { NECK, OWL_TEXT } from '../design/want/wants.ts';
import { LIFT } from '../load/rigs.ts';
import { type Setting, run, scratch } from './fixture.ts';

const folder = scratch();
afterAll(folder.remove);
folder.put('night-owl.yaml', OWL_TEXT);
folder.put('lift.yaml', LIFT);
const easy = folder.put(
  'easy.yml',
  NECK.replace('height_mm: 130', 'height_mm: 180')
    .replace('firm: { lowest_hz: 5 }', 'firm: {}')
    .replace(/axes:\n.*\n/, ''),
);

const design = (want: string, output: string, more: readonly string[], setting: Setting = {}) =>
  run(['design', '--want', want, '-o', folder.path(output), '--workers', '1', ...more], setting);

const document = z.object({
  ok: z.boolean(),
  front: z.array(
    z.object({
      rig: z.string(),
      travel: z.array(z.object({ minus: z.number(), plus: z.number() })),
      price: z.number(),
      size_mm: z.object({ base_radius: z.number(), plate_radius: z.number(), height: z.number() }),
    }),
  ),
  relax: z.array(z.object({ wish: z.string() })),
  evaluated: z.number(),
  complete: z.boolean(),
});
const answerIn = (output: string) =>
  document.parse(JSON.parse(readFileSync(join(folder.path(output), 'front.json'), 'utf8')));

/** A clock that goes on by so many ms whenever it is looked at, and Ctrl-C at one of these looks. */
function clock(step_ms: number, interruptAt = Infinity): Pick<Setting, 'now' | 'onInterrupt'> {
  let looks = 0;
  let heard: (() => void) | null = null;
  return {
    onInterrupt: (handler) => {
      heard = handler;
    },
    now: () => {
      looks++;
      if (looks === interruptAt) heard?.();
      return looks * step_ms;
    },
  };
}

describe('a search that is interrupted', () => {
  it('keeps what was found, says so, and ends where it would have ended when it goes on', async () => {
    const stopped = await design(easy, 'stopped', ['--evaluations', '900'], clock(1, 12));
    expect(stopped.out.replace(/\s+/g, ' ')).toContain('not all that was planned: --resume goes on');
    const first = answerIn('stopped');
    expect(first).toMatchObject({ complete: false });
    expect(first.evaluated).toBeGreaterThan(0);
    expect(first.evaluated).toBeLessThan(900);
    const resumed = await design(easy, 'stopped', ['--resume', '--json']);
    const whole = await design(easy, 'whole', ['--evaluations', '900', '--json']);
    expect(document.parse(JSON.parse(whole.out))).toMatchObject({ ok: true, complete: true, evaluated: 900 });
    expect(resumed.out).toBe(whole.out);
  }, 300_000);
});

describe('looking for what to relax', () => {
  /** Ctrl-C soon after it has begun: the search before it heard of interrupts first. */
  function interrupts(): Pick<Setting, 'onInterrupt'> & { readonly left: () => boolean } {
    let heard: (() => void) | null = null;
    let begun = 0;
    return {
      left: () => heard !== null,
      onInterrupt: (handler) => {
        heard = handler;
        if (handler && ++begun === 2)
          setTimeout(() => {
            heard?.();
          }, 0);
      },
    };
  }

  it('keeps what the search found when it is interrupted, says so, and is gone on with', async () => {
    const hard = folder.put('hard.yml', readFileSync(easy, 'utf8').replace('z_mm: [-8, 4]', 'z_mm: [-300, 4]'));
    const pressed = interrupts();
    const stopped = await design(hard, 'cut', ['--evaluations', '900'], pressed);
    expect([stopped.code, pressed.left()]).toEqual([1, false]);
    const told = stopped.out.replace(/\s+/g, ' ');
    expect(told).toContain('It was stopped early: the nearest design so far falls short of these. together must.z_mm:');
    expect(told).toContain('stopped while it looked for what to relax: there may be more, and smaller steps');
    expect(told).toContain('--resume goes on');
    const first = answerIn('cut');
    expect(first).toMatchObject({ ok: false, complete: false });
    // The search itself, and as few batches more as it takes to hear.
    expect(first.evaluated).toBeGreaterThan(900);
    expect(first.evaluated).toBeLessThan(1500);
    expect(readFileSync(join(folder.path('cut'), 'front.html'), 'utf8')).toContain(
      'It was stopped before all of it was done',
    );
    await design(hard, 'cut', ['--resume']);
    expect(answerIn('cut')).toMatchObject({ complete: true, relax: [{ wish: 'must.z_mm' }] });
  }, 300_000);
});

describe('a search by the clock', () => {
  it('ends when its minutes are over, and goes on for as many more', async () => {
    // Two looks for each batch: 60 s are over after some six of them.
    const ran = await design(easy, 'timed', ['--minutes', '1'], clock(5000));
    expect(ran.code).toBe(0);
    const first = answerIn('timed');
    expect(first.complete).toBe(true);
    expect(ran.out).not.toContain('not all that was planned');
    const again = await design(easy, 'same', ['--minutes', '1', '--json'], clock(5000));
    expect(document.parse(JSON.parse(again.out)).evaluated).toBe(first.evaluated);
    const half = await design(easy, 'half', ['--minutes', '0.5', '--json'], clock(5000));
    expect(document.parse(JSON.parse(half.out)).evaluated).toBeLessThan(first.evaluated);
    await design(easy, 'half', ['--resume'], clock(5000));
    expect(answerIn('half').evaluated).toBeGreaterThan(0.6 * first.evaluated);
  }, 300_000);
});

describe('a linear platform', () => {
  const want = folder.put(
    'lift.yml',
    `want: lift
from: lift.yaml
must: { z_mm: [-8, 8], roll_deg: 5, together: 0.5 }
room: { base_radius_mm: 110, plate_radius_mm: 90, height_mm: 260 }
stock: { stroke_mm: [[130, 200], [150, 250]] }
servos:
  ram: { price: 20 }
  jack: { price: 35, force_n: 100, speed_mm_s: 30, stall_current_a: 2, us_per_mm: 5 }
better: [travel, use, price, size]
`,
  );

  it('gets designs of actuators in stock, each with a height of home, that go as far as was asked', async () => {
    const ran = await design(want, 'lift', ['--evaluations', '900']);
    expect([ran.code, ran.err]).toEqual([0, '']);
    const { front } = answerIn('lift');
    expect(front.length).toBeGreaterThan(1);
    for (const { rig: file, travel, price, size_mm } of front) {
      const { rig, problems } = readRig(readFileSync(join(folder.path('lift'), file), 'utf8'));
      expect(problems.filter(({ severity }) => severity === 'error')).toEqual([]);
      expect([
        [130, 200],
        [150, 250],
      ]).toContainEqual(rig!.platform!.stroke_mm);
      expect(rig!.platform!.home_z_mm).toBeGreaterThan(0);
      expect([6 * 20, 6 * 35]).toContain(price);
      expect(travel[2]!.minus).toBeLessThanOrEqual(-8 * (1 - 1e-4));
      expect(travel[3]!.plus).toBeGreaterThanOrEqual(5 * (1 - 1e-4));
      expect(size_mm.height).toBeLessThanOrEqual(260);
      expect(size_mm.base_radius).toBeLessThanOrEqual(110 + 1e-6);
    }
  }, 300_000);
});
