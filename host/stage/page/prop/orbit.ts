/** Where the eye is: on a ball around what it looks at. Angles rad, lengths mm, world z up; pure. */
import type { Vec3 } from '../../../rig/rig.ts';

export interface Orbit {
  readonly target_mm: Vec3;
  /** From the world's x, counter-clockwise seen from above. */
  readonly azimuth_rad: number;
  readonly elevation_rad: number;
  readonly distance_mm: number;
}

const HIGHEST = 1.4;

/** The angle of view, upright, deg. */
export const FIELD_DEG = 28;

/** Turned by so much; it stays above the ground and short of straight above. */
export function turned(orbit: Orbit, azimuth_rad: number, elevation_rad: number): Orbit {
  const elevation = Math.min(HIGHEST, Math.max(-0.2, orbit.elevation_rad + elevation_rad));
  return { ...orbit, azimuth_rad: orbit.azimuth_rad + azimuth_rad, elevation_rad: elevation };
}

/** @param times of the distance */
export const zoomed = (orbit: Orbit, times: number, nearest_mm: number): Orbit => ({
  ...orbit,
  distance_mm: Math.min(8 * nearest_mm, Math.max(nearest_mm, orbit.distance_mm * times)),
});

export function eyeAt({ target_mm: t, azimuth_rad, elevation_rad, distance_mm }: Orbit): Vec3 {
  const level = distance_mm * Math.cos(elevation_rad);
  return [
    t[0] + level * Math.cos(azimuth_rad),
    t[1] + level * Math.sin(azimuth_rad),
    t[2] + distance_mm * Math.sin(elevation_rad),
  ];
}

/** From where a ball of this radius fills a picture as wide as so many times its height. */
export function fitting(target_mm: Vec3, radius_mm: number, aspect: number): Orbit {
  const half = ((FIELD_DEG / 2) * Math.PI) / 180;
  const narrow = Math.atan(Math.tan(half) * Math.min(1, aspect));
  return { target_mm, azimuth_rad: -0.52, elevation_rad: 0.16, distance_mm: radius_mm / Math.sin(narrow) };
}
