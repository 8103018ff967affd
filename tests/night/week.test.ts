/**
 * A week of evenings on one board, seven of NIGHT_HOURS each (2 without; 24 makes the week whole, and takes minutes), every tick of them
 * run: nothing is skipped. What is simulated is the controller of every board with its flash; not the servos, the wires, and the chip.
 */
import { beforeAll, describe, expect, it } from 'vitest';
import { type Variant, exhibitOf } from './exhibit.ts';
import { Week } from './week.ts';

const HOURS = Number(process.env['NIGHT_HOURS'] ?? 2);
const SEED = Number(process.env['NIGHT_SEED'] ?? 1);
const EVENINGS: readonly Variant[] = ['idle', 'loop', 'hot', 'pins', 'idle', 'loop', 'hot'];
/** An hour of it takes some two seconds. */
const timeout = 60_000 + 7 * HOURS * 20_000;

describe(`seven evenings of ${String(HOURS)} h with faults, seed ${String(SEED)}`, () => {
  const week = new Week(SEED);
  const watched = { ticks: 0, moving: 0, motions: 0, shortest: Infinity };

  beforeAll(async () => {
    for (const variant of EVENINGS) {
      const seen = week.evening(await exhibitOf(variant), HOURS * 3600);
      watched.ticks += seen.ticks;
      watched.moving += seen.moving;
      watched.motions += seen.motions;
      watched.shortest = Math.min(watched.shortest, seen.shortest);
    }
    process.stdout.write(`${JSON.stringify({ ...watched, ...week.told, ...week.sums.told() })}
`);
  }, timeout);

  it('had every fault', () => {
    expect(Object.entries(week.told).filter(([, times]) => times === 0)).toEqual([]);
  });

  it('played most shows to their end, and says of every other one why not', () => {
    const { begun, whole, cooled, reasons } = week.sums;
    expect(begun).toBeGreaterThan(30 * 7 * HOURS);
    expect(whole / begun).toBeGreaterThan(0.85);
    expect(cooled).toBeGreaterThan(0);
    expect([...reasons.keys()]).toEqual(
      expect.arrayContaining(['power', 'trip 2', 'stop 0', 'stop 1', 'stop 2', 'refused 7']),
    );
  });

  it('warned for five seconds before every motion from rest', () => {
    expect(watched.motions).toBeGreaterThan(10 * 7 * HOURS);
    expect(watched.shortest).toBeGreaterThanOrEqual(5 * 200);
  });
});
