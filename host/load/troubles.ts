/** What of a load is out of limits, the gravest first. */
import type { JointLoad, SupplyLoad, Trouble } from './result.ts';

/** Rounding of what stands exactly at a limit. */
const ALLOWED = 1 + 1e-9;
const above = (use: number | null | undefined, most: number): boolean => (use ?? 0) > most * ALLOWED;

type Test = readonly [cause: Trouble['cause'], found: (joint: JointLoad) => boolean];

const TESTS: readonly Test[] = [
  ['hold', ({ hold_use }) => above(hold_use, 1)],
  ['speed', ({ along }) => along?.impossible === 'speed'],
  ['torque', ({ along }) => above(along?.use, 1)],
  ['worst', ({ worst, hold_use }) => above(worst.use, 1) && !above(hold_use, 1)],
  ['hot', ({ hold_use, continuous_use }) => above(hold_use, continuous_use) && !above(hold_use, 1)],
  ['heat', ({ along, continuous_use }) => above(along?.rms_use, continuous_use)],
];

/** How much it is, to put the worst joint of a kind first. */
const size = (joint: JointLoad): number => Math.max(joint.hold_use ?? 0, joint.along?.use ?? 0, joint.worst.use ?? 0);

export function troublesOf(joints: readonly JointLoad[], supply: SupplyLoad): Trouble[] {
  const found = TESTS.flatMap(([cause, isSo]) =>
    joints
      .filter(isSo)
      .sort((a, b) => size(b) - size(a))
      .map(({ name }): Trouble => ({ cause, joint: name })),
  );
  const drawn = Math.max(supply.hold_a ?? 0, supply.peak_a ?? 0);
  const loose: Trouble[] = joints.some(({ worst }) => worst.loose) ? [{ cause: 'loose', joint: null }] : [];
  const electric = (cause: 'supply' | 'fuse', most: number | null): Trouble[] =>
    most !== null && above(drawn, most) ? [{ cause, joint: null }] : [];
  return [...found, ...loose, ...electric('supply', supply.gives_a), ...electric('fuse', supply.fuse_a)];
}
