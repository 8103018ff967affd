/** Plates that do not face each other are found by geometry; expected values are closed forms of the symmetric platform. */
import { describe, expect, it } from 'vitest';
import { faceWell, passing_mm, turnOf, yawLever_mm } from '../../../host/rig/facing.ts';
import { readRig } from '../../../host/rig/read.ts';
import { type Platform, type Vec3, toDeg, toRad } from '../../../host/rig/rig.ts';
import { linearPlatform } from '../physics/platforms.ts';
import { LINEAR, OWL, rigOf, swap } from './owl.ts';

/** What is advised of the platform. */
const advised = (text: string): string[] => {
  const { rig, advice, problems } = readRig(text);
  if (!rig) throw new Error(JSON.stringify(problems));
  for (const { path } of problems) expect(path).not.toMatch(/^platform\.(moving|base|crank)/);
  const said = advice
    .filter(({ path }) => path.startsWith('platform.'))
    .map(({ path, message }) => `${path}: ${message}`);
  expect(faceWell(rig.platform!)).toBe(said.length === 0);
  return said;
};
const RINGS = ['half_angle_deg: 14 }', 'half_angle_deg: 46 }'] as const;
const owlWith = (base: number, moving: number, ...more: (readonly [string, string])[]): string =>
  swap(
    OWL,
    [RINGS[1], `half_angle_deg: ${String(moving)} }`],
    [RINGS[0], `half_angle_deg: ${String(base)} }`],
    ['rod_end_deg: 28\n', 'rod_end_deg: 60\n'],
    ['rest: { z_mm: -8 }', 'rest: { z_mm: 0 }'],
    ...more,
  );

/** Moving joints turned by an angle about z, or numbered the other way round. */
const withMoving = (change: (points: Vec3[]) => Vec3[]): Platform => {
  const platform = linearPlatform();
  const points = change(platform.legs.map(({ moving_mm }) => moving_mm));
  return { ...platform, legs: platform.legs.map((leg, i) => ({ ...leg, moving_mm: points[i]! })) };
};
const turn = ([x, y, z]: Vec3, deg: number): Vec3 => [
  x * Math.cos(toRad(deg)) - y * Math.sin(toRad(deg)),
  x * Math.sin(toRad(deg)) + y * Math.cos(toRad(deg)),
  z,
];

describe('the turn between the plates', () => {
  it.each([0, 10, 60, -60, 120])('is found: %d deg', (deg) => {
    const found = turnOf(withMoving((points) => points.map((point) => turn(point, deg))));
    expect(toDeg(found.turn_rad)).toBeCloseTo(deg, 10);
    expect(found.mirrored).toBe(false);
  });

  it('is none where the numbers go the other way round', () => {
    const order = [0, 5, 4, 3, 2, 1];
    expect(turnOf(withMoving((points) => order.map((k) => points[k]!))).mirrored).toBe(true);
  });

  it('is told with the turn that mends it', () => {
    const text = (deg: number): string => {
      const rig = rigOf(LINEAR);
      const points = rig.platform!.legs.map(({ moving_mm }) => turn(moving_mm, deg));
      return swap(
        LINEAR,
        ['moving: { radius_mm: 150, half_angle_deg: 50 }', `moving: { points_mm: ${JSON.stringify(points)} }`],
        ['[250, 350]', '[150, 550]'],
        ['limit_mm: [255, 345]', 'limit_mm: [160, 540]'],
        ['leg2: { limit_mm: [260, 340] }', 'leg2: {}'],
        ['us_per_mm: 8', 'us_per_mm: 2'],
      );
    };
    expect(advised(text(0))).toEqual([]);
    expect(advised(text(60))).toEqual([
      expect.stringMatching(/^platform\.moving: its joints stand turned by 60 deg .* Turn it by -60 deg about z$/),
    ]);
  });
});

describe('close pairs over close pairs', () => {
  it.each([
    [14, 46, null],
    [46, 14, null],
    [14, 14, /^platform\.moving: leg1 and leg2, .*Found 14 deg; likely meant: half_angle_deg: 46$/],
    [14, 20, /^platform\.moving: .*half_angle_deg: 40$/],
    [46, 46, /^platform\.base: .*half_angle_deg: 14$/],
  ])('base %d deg, moving %d deg', (base, moving, wanted) => {
    const found = advised(owlWith(base, moving));
    if (wanted === null) expect(found).toEqual([]);
    else expect(found).toEqual([expect.stringMatching(wanted)]);
  });

  it('matters to yaw: the levers of actuators are R·r·sin(difference of the half angles) / length', () => {
    const lever = (base: number, moving: number): number => {
      const halves = `radius_mm: 150, half_angle_deg: ${String(moving)} }`;
      const text = swap(
        LINEAR,
        ['radius_mm: 150, half_angle_deg: 50 }', halves],
        ['half_angle_deg: 10 }', `half_angle_deg: ${String(base)} }`],
        ['leg2: { limit_mm: [260, 340] }', 'leg2: {}'],
      );
      const { platform } = rigOf(text);
      const [R, r, h] = [200, 150, platform!.home_z_mm];
      const apart = toRad(moving - base);
      const length = Math.sqrt(R * R + r * r + h * h - 2 * R * r * Math.cos(apart));
      expect(Math.abs(yawLever_mm(platform!, 0))).toBeCloseTo((R * r * Math.sin(apart)) / length, 9);
      return Math.abs(yawLever_mm(platform!, 1));
    };
    expect(lever(10, 50)).toBeGreaterThan(3 * lever(10, 20));
  });

  it('even plates, one over the other, hold nothing against yaw', () => {
    const even = swap(
      LINEAR,
      ['half_angle_deg: 50 }', 'half_angle_deg: 30 }'],
      ['half_angle_deg: 10 }', 'half_angle_deg: 30 }'],
      ['[255, 345]', '[250, 350]'],
      ['leg2: { limit_mm: [260, 340] }', 'leg2: {}'],
    );
    expect(advised(even)).toEqual([expect.stringMatching(/a degree of yaw changes the legs by 0 mm only/)]);
  });
});

describe('rods that cross', () => {
  // Inward cranks of a level pair end at y = ±(crank - R·sin half): past the middle both rods meet at y = 0, at one height.
  it.each([
    [14, 22, true],
    [14, 16.9, false],
    [20, 22, false],
  ])('inward, half angle %d deg, crank %d mm', (half, crank, meet) => {
    const past_mm = crank - 70 * Math.sin(toRad(half));
    expect(past_mm > 0).toBe(meet);
    const text = owlWith(
      half,
      46,
      ['azimuth_deg: outward', 'azimuth_deg: inward'],
      ['crank_mm: 22', `crank_mm: ${String(crank)}`],
    );
    expect(passing_mm(rigOf(text).platform!, 0, 1)).toBeCloseTo(meet ? 0 : Infinity, 9);
    const found = advised(text);
    if (meet)
      expect(found).toEqual([
        expect.stringMatching(
          /^platform\.crank_azimuth_deg: at home leg1 and leg2, .*meant: crank_azimuth_deg: outward.*above 18\.3 deg$/,
        ),
      ]);
    else expect(found).toEqual([]);
  });
});
