/**
 * The running record: what the ring holds is what was asked and delivered, of the last two minutes, whatever the number of joints.
 * The expected figures are the pulses that came out and the targets that the test asks.
 */
import { describe, expect, it } from 'vitest';
import { parseRecords } from '../../../host/shows/log-frames.ts';
import { rigOf } from '../rigs.ts';
import { Watching, jointsOnly } from './watching.ts';

const LIVE = 2;
const NOD = 6;

describe('the running record', () => {
  it('holds what every joint was asked and delivered over each tenth of a second, within 1/254 of its range', () => {
    const prop = new Watching(rigOf({}));
    prop.rouse();
    const { hi, lo } = prop.rig.joints[NOD]!;
    const tick_us = 1e6 / prop.rig.motion.tick_hz;
    const seen: number[] = [];
    prop.watch = () => seen.push((prop.place(NOD) - lo) / (hi - lo));

    for (let n = 0; n < 3 * prop.rig.motion.tick_hz; n++) {
      const asked = 0.3 * Math.sin((2 * Math.PI * n) / 150);
      if (n % 4 === 0) prop.pose(5000, [0, 0, 0, 0, 0, 0, asked, 0]);
      prop.run(1);
    }
    prop.watch = () => undefined;
    const records = prop.records();
    expect(records.length).toBeGreaterThan(30);
    const last = records.slice(-20);
    const per = prop.rig.motion.tick_hz / 10;
    expect(tick_us * per).toBeCloseTo(1e5, 6);
    // The records' tenths and the test's may be shifted against each other by any number of ticks: one shift must fit all.
    const fits = (shift: number): boolean =>
      last.every((record, i) => {
        const end = seen.length - shift - (last.length - 1 - i) * per;
        const window = seen.slice(end - per, end);
        const [lowest, highest] = record.joints[NOD]!.delivered;
        const near = (a: number, b: number): boolean => Math.abs(a - b) < 1 / 254 + 0.003;
        return window.length === per && near(Math.min(...window), lowest) && near(Math.max(...window), highest);
      });
    expect(Array.from({ length: 3 * per }, (_, shift) => shift).some(fits)).toBe(true);
    expect(last.every(({ state }) => state === LIVE)).toBe(true);
    const highest = Math.max(...last.map(({ joints }) => joints[NOD]!.asked[1]));
    expect(highest).toBeCloseTo((0.3 - lo) / (hi - lo), 1);
  });

  it('holds the last two minutes of sixteen joints, in the order of their tenths', () => {
    const prop = new Watching(jointsOnly(16));
    prop.rouse();
    prop.seconds(150);
    // Some come while they are read.
    const records = prop.records().slice(-1200);
    expect(records).toHaveLength(1200);
    expect(records[0]!.joints).toHaveLength(16);
    const { at_s } = records.at(-1)!;
    expect(at_s - records[0]!.at_s).toBeCloseTo(119.9, 6);
    records.forEach((record, i) => expect(record.at_s).toBeCloseTo(at_s - (1199 - i) / 10, 6));
  });

  it('keeps them while nothing moves: a limp prop adds a record only every ten minutes', () => {
    const prop = new Watching(jointsOnly(2));
    prop.rouse();
    prop.seconds(5);
    prop.settle();
    prop.seconds(1);
    const before = prop.records().length;
    prop.seconds(590);
    expect(prop.records()).toHaveLength(before);
    prop.seconds(20);
    const after = prop.records();
    expect(after).toHaveLength(before + 1);
    expect(after.at(-1)!.at_s - after.at(-2)!.at_s).toBeCloseTo(600, 6);
  });

  it('tells night, show and second, the lowest supply, the longest tick and the warmest joint', () => {
    const prop = new Watching(jointsOnly(2));
    prop.rouse();
    prop.tell(7, 5, 83, 'startle');
    prop.probe.setWarmest(0.75);
    const period_us = 1e6 / prop.rig.motion.tick_hz;
    prop.setMeasured(100, 5000);
    prop.seconds(0.5);
    prop.setMeasured(1.25 * period_us, 4150);
    prop.run(1);
    prop.setMeasured(100, 5000);
    prop.seconds(0.5);
    const records = prop.records();
    const worst = records.find(({ supply_v }) => supply_v === 4.15)!;
    expect(worst).toMatchObject({ night: 7, show: 5, second: 83, warmth: 0.75 });
    expect(worst.tick_share).toBeCloseTo(1.25, 1);
    expect(records.at(-1)!.supply_v).toBe(5);
    expect(records.at(-1)!.tick_share).toBeLessThan(0.1);
  });

  it.each([50, 55, 100, 333, 1000])('misses no tenth at %i ticks a second', (hz) => {
    const prop = new Watching(jointsOnly(16, hz));
    prop.rouse();
    prop.seconds(3);
    const records = prop.records().slice(-25);
    records.slice(1).forEach((record, i) => expect(record.at_s - records[i]!.at_s).toBeCloseTo(0.1, 6));
    expect(records[0]!.joints.every(({ delivered }) => delivered[0] > 0 && delivered[1] < 1)).toBe(true);
  });

  it('is read as nothing where there is none, and whole again after numbers that are gone', () => {
    const prop = new Watching(jointsOnly(2));
    expect(prop.ask(0, 1e6).bytes).toHaveLength(0);
    prop.rouse();
    prop.seconds(1);
    expect(parseRecords(prop.ask(0, 3).bytes, 2, 0).length).toBeGreaterThan(0);
  });
});
