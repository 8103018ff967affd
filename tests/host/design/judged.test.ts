/** What the library is asked of a design: margins, places and prices, against its own answers and by hand. */
import { describe, expect, it } from 'vitest';
import { type Design, designOf } from '../../../host/design/design.ts';
import { describeProblem, subjectOf } from '../../../host/design/problem-of.ts';
import { heavierRig } from '../../../host/design/evaluate/margins.ts';
import { type Judged, judge } from '../../../host/design/judge.ts';
import { rigOf } from '../../../host/design/rig-of.ts';
import { Demand } from '../../../host/load/demand.ts';
import { postureOf } from '../../../host/load/places.ts';
import { modesAt } from '../../../host/physics/vibration/modes.ts';
import { HOME, type Pose } from '../../../host/rig/rig.ts';
import { NECK, wantOf } from './want/wants.ts';

/** The owl as it is, asked for what it does, in a room that it has height for. */
const CALM = NECK.replace('roll_deg: 15', 'roll_deg: 12')
  .replace('[-12, 9]', '[-9, 6]')
  .replace('height_mm: 130', 'height_mm: 190');
const given = (servo = -1, gear_ratio = 3, kg = 0.8): Design => ({
  ...designOf(wantOf(CALM).base),
  ...{ home_z_mm: null, servo },
  axes: [{ joint: 'nod', gear_ratio, counterweight: { kg, at_mm: 190 }, servo: 1 }],
});

function judged(text: string, design: Design): Judged {
  const want = wantOf(text);
  const found = judge(want, design, rigOf(want, design, 'owl')!);
  if ('refused' in found) throw new Error(found.refused);
  return found;
}
const refused = (text: string, design: Design): string => {
  const found = judge(wantOf(text), design, rigOf(wantOf(text), design, 'owl')!);
  return 'refused' in found ? found.refused : '';
};

describe('a design judged by the library', () => {
  it('holds on less voltage: the same torques, a ninth more of what there is', () => {
    const full = judged(`${CALM}margins: { heavier_percent: 10, less_voltage_percent: 0 }\n`, given());
    const low = judged(`${CALM}margins: { heavier_percent: 10, less_voltage_percent: 10 }\n`, given());
    expect(low.hold_use / full.hold_use).toBeCloseTo(1 / 0.9, 9);
  });

  it('holds with the carrier at its soft limits', () => {
    const text = CALM.replace('together: 0.5', 'together: 0');
    // With little counterweight the nodding axis is what works hardest, more so when it leans.
    const found = judged(text, given(-1, 3, 0.3));
    const rig = heavierRig(found.rig, { weight: 1.1, voltage: 0.9 }, new Set(['nod counterweight']));
    const nod = rig.joints.findIndex(({ name }) => name === 'nod');
    const home = postureOf(rig, HOME)!;
    const demand = new Demand(rig);
    const share = (at: number): number => {
      const q = [...home.q].map((own, i) => (i === nod ? at : own));
      return demand.hold({ ...home, q }) ? Math.max(...rig.joints.slice(0, 7).map((_, i) => demand.share(i))) : NaN;
    };
    const { lo, hi, home: level } = rig.joints[nod]!;
    const most = Math.max(...[lo, level, hi].map(share));
    expect(most).toBeGreaterThan(1.02 * share(level));
    expect(found.hold_use).toBeCloseTo(most, 9);
  });

  it('shows the torque that is ranked, with its joint and its place: a counterweight that is designed is no heavier', () => {
    const text = CALM.replace('together: 0.5', 'together: 0');
    const want = wantOf(text);
    const subject = subjectOf(describeProblem(want));
    const found = judged(text, given());
    const ranked = subject.objectivesOf(subject.read(given()).figures)[want.better.indexOf('use')]!;
    expect(found.torque_used.use / ranked).toBeCloseTo(1, 3);
    expect(found.torque_used.use).toBe(found.hold_use);
    const { joint, where } = found.torque_used;
    expect(found.rig.joints.map(({ name }) => name)).toContain(joint);
    expect(where).not.toBe('');
  });

  it('swings as slowly as it does anywhere that a wanted travel ends', () => {
    const found = judged(CALM, given());
    const rig = heavierRig(found.rig, { weight: 1.1, voltage: 0.9 }, new Set(['nod counterweight']));
    const ends = wantOf(CALM).must.travel.flatMap(({ minus, plus }, axis) =>
      [minus, plus].filter((by) => by !== 0).map((by) => HOME.map((_, k) => (k === axis ? by : 0)) as unknown as Pose),
    );
    const hz = (pose: Pose): number => modesAt(rig, postureOf(rig, pose)!.q, pose)!.modes[0]!.hz!;
    const least = Math.min(hz(HOME), ...ends.map(hz));
    expect(ends).toHaveLength(6);
    expect(least).toBeLessThan(hz(HOME) * (1 - 1e-6));
    expect(found.lowest_hz).toBeCloseTo(least, 9);
  });

  it('costs six servos for its legs and one for the axis', () => {
    const strong = CALM.replace('stall_torque_nm: 0.9', 'stall_torque_nm: 2.5');
    expect(judged(strong, given(0)).price).toBe(6 * 12 + 20);
  });

  it('goes further than asked by the spare that is asked', () => {
    const { travel } = judged(CALM, given());
    const spare = (percent: number): string =>
      CALM.replace('together: 0.5', `together: 0.5\n  spare_travel_percent: ${percent.toFixed(1)}`);
    // What of each wanted travel is left, per cent of it, mm and degrees.
    const left = Math.min(
      ...[travel[2]!.minus / -8, travel[2]!.plus / 4, travel[3]!.plus / 12, travel[4]!.minus / -9, travel[4]!.plus / 6],
    );
    expect(left).toBeGreaterThan(1.02);
    expect(refused(spare(100 * (left - 1) - 1), given())).toBe('');
    expect(refused(spare(100 * (left - 1) + 1), given())).toMatch(/goes less far than asked/);
  });
});
