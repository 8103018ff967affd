/** The two plates of a platform: symmetric ones by radius and half angle, and how far out the joints of any plate are. mm, rad. */
import { type Platform, type Vec3, toRad } from './rig.ts';

/** Azimuths of the pairs of a symmetric plate (DEVELOPERS.md, "Frames"). */
export const PAIRS_DEG = [0, 120, 240] as const;

/** The six joints of a symmetric plate, in the plate's own frame. */
export const ringPoints = (radius_mm: number, half_rad: number): Vec3[] =>
  PAIRS_DEG.flatMap((pair_deg) =>
    [-half_rad, half_rad].map((off): Vec3 => {
      const azimuth = toRad(pair_deg) + off;
      return [radius_mm * Math.cos(azimuth), radius_mm * Math.sin(azimuth), 0];
    }),
  );

/** From a plate's middle to its furthest joint, in the plate's plane. */
export const plateRadius_mm = ({ legs }: Pick<Platform, 'legs'>, plate: 'base' | 'moving'): number =>
  Math.max(...legs.map(({ [`${plate}_mm` as const]: [x, y] }) => Math.hypot(x, y)));
