/**
 * Random platforms' placements and poses for the property tests.
 */
import fc from 'fast-check';
import type { Placement, Pose, Vec3 } from '../../../host/rig/rig.ts';
import { toRad } from '../../../host/rig/rig.ts';

const within = (size: number): fc.Arbitrary<number> => fc.double({ min: -size, max: size, noNaN: true });

/** Any way of mounting, a pivot up to 40 mm from the moving plate's origin. */
export const anyMountAndPivot: fc.Arbitrary<{ mount: Placement; pivot_mm: Vec3 }> = fc.record({
  mount: fc.record({
    at_mm: fc.constant<Vec3>([30, 0, 55]),
    rpy_rad: fc.tuple(within(Math.PI), within(Math.PI / 2), within(Math.PI)),
  }),
  pivot_mm: fc.tuple(within(40), within(40), within(40)),
});

/** A pose within 6 mm and 8 degrees of home in each component. */
export const smallPose: fc.Arbitrary<Pose> = fc.tuple(
  within(6),
  within(6),
  within(6),
  within(toRad(8)),
  within(toRad(8)),
  within(toRad(8)),
);
