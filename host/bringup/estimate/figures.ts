/** What of a platform can be estimated: figures of the rig file that its pose depends on, and the platform with other figures in their place. */
import { PAIRS_DEG } from '../../rig/plates.ts';
import { type Leg, type Platform, type Rig, type Vec3, toDeg, toRad } from '../../rig/rig.ts';

export interface GeometryFigure {
  /** As words have it: the key, with its group where the key alone would not do. */
  readonly name: string;
  readonly unit: 'mm' | 'deg' | 'us';
  /** Where the rig file has it; null: it is no figure of the rig, but of how was measured. */
  readonly path: readonly string[] | null;
  /** What the rig says. */
  readonly at: number;
  /** What a ruler and a horn set by eye may leave it off by, 19 times in 20 (ours). */
  readonly typical: number;
}

export interface Wanted {
  /** Each leg's centre pulse as well. */
  readonly centres?: boolean;
  /** Where the heights are measured from as well: the ruler may stand lower or higher than the base plane. */
  readonly zero?: boolean;
}

/** The platform, and what is added to the legs' centre pulses (µs) and to measured heights (mm). */
export interface Guess {
  readonly platform: Platform;
  readonly centre_us: readonly number[];
  readonly zero_mm: number;
}

export interface Geometry {
  readonly figures: readonly GeometryFigure[];
  /** With these in the figures' places, in their units. */
  guess(values: readonly number[]): Guess;
  /** What stays as it is, sentence by sentence. */
  readonly words: readonly string[];
}

const LENGTH_MM = 1;
const HALF_ANGLE_DEG = 1;
/** A horn set by eye: a degree of 10 µs, or half a millimetre of an actuator. */
const CENTRE_DEG = 1;
const CENTRE_MM = 0.5;
/** A plate counts as symmetric where its joints lie on the ring to this: rounding, no ruler. */
const ON_RING_MM = 1e-9;

type Plate = 'base' | 'moving';

/** @param rig with a platform. */
export function geometryFigures(rig: Rig, platform: Platform, wanted: Wanted): Geometry {
  const figures: GeometryFigure[] = [];
  const lengths = platform.drive === 'crank' ? (['crank_mm', 'rod_mm'] as const) : [];
  for (const name of lengths)
    figures.push({ name, unit: 'mm', path: ['platform', name], at: platform[name], typical: LENGTH_MM });
  const rings = { base: ringOf(platform, 'base'), moving: ringOf(platform, 'moving') };
  for (const plate of ['base', 'moving'] as const) figures.push(...ringFigures(plate, rings[plate]));
  figures.push(...centreFigures(rig, platform, wanted.centres ?? false));
  if (wanted.zero) figures.push({ name: 'the ruler’s zero', unit: 'mm', path: null, at: 0, typical: LENGTH_MM });
  return { figures, guess: (values) => guessOf(platform, figures, values), words: pointWords(rings) };
}

const pointWords = (rings: Readonly<Record<Plate, Ring | null>>): string[] =>
  (['base', 'moving'] as const)
    .filter((plate) => rings[plate] === null)
    .map((plate) => `platform.${plate} is given by points_mm: its joints stay as they were measured`);

interface Ring {
  readonly radius_mm: number;
  readonly half_deg: number;
}

const ringFigures = (plate: Plate, ring: Ring | null): GeometryFigure[] =>
  ring === null
    ? []
    : [
        {
          name: `${plate}.radius_mm`,
          unit: 'mm',
          path: ['platform', plate, 'radius_mm'],
          at: ring.radius_mm,
          typical: LENGTH_MM,
        },
        {
          name: `${plate}.half_angle_deg`,
          unit: 'deg',
          path: ['platform', plate, 'half_angle_deg'],
          at: ring.half_deg,
          typical: HALF_ANGLE_DEG,
        },
      ];

/** Cranks' centres are set with the `centre` step and count as known unless asked for; actuators' have one length in common. */
function centreFigures(rig: Rig, platform: Platform, each: boolean): GeometryFigure[] {
  const legs = rig.joints.filter(({ kind }) => kind === 'leg');
  const typical = (us_per_unit: number): number =>
    us_per_unit * (platform.drive === 'crank' ? toRad(CENTRE_DEG) : CENTRE_MM);
  if (each)
    return legs.map(({ name, centre_us, us_per_unit }) => ({
      name: `${name}.centre_us`,
      unit: 'us',
      path: ['joints', name, 'centre_us'],
      at: centre_us,
      typical: typical(us_per_unit),
    }));
  const [first] = legs;
  if (platform.drive === 'crank' || !first) return [];
  return [{ name: COMMON_CENTRE, unit: 'us', path: null, at: 0, typical: typical(first.us_per_unit) }];
}

/** What all actuators' centre pulses are off by together: the same as their lengths at mid-stroke. */
export const COMMON_CENTRE = 'all centre_us together';

/** A plate's ring, as the rig file's reader lays it; null: its joints lie otherwise. */
function ringOf({ legs }: Platform, plate: Plate): Ring | null {
  const points = legs.map((leg) => leg[`${plate}_mm`]);
  const [, second = [NaN, NaN, NaN]] = points;
  const ring = { radius_mm: Math.hypot(second[0], second[1]), half_deg: toDeg(Math.atan2(second[1], second[0])) };
  const off = points.map(([x, y, z], i) => {
    const on = ringPoint(ring, i);
    return Math.hypot(x - on[0], y - on[1], z - on[2]);
  });
  return Math.max(...off) <= ON_RING_MM ? ring : null;
}

function ringPoint({ radius_mm, half_deg }: Ring, i: number): Vec3 {
  const at = toRad((PAIRS_DEG[i >> 1] ?? NaN) + (i % 2 === 0 ? -half_deg : half_deg));
  return [radius_mm * Math.cos(at), radius_mm * Math.sin(at), 0];
}

function guessOf(platform: Platform, figures: readonly GeometryFigure[], values: readonly number[]): Guess {
  const of = new Map(figures.map(({ name }, k) => [name, values[k] ?? NaN]));
  const moved = (name: string): number => {
    const k = figures.findIndex((figure) => figure.name === name);
    return k < 0 ? 0 : values[k]! - figures[k]!.at;
  };
  const pointOf = (leg: Leg, plate: Plate, i: number): Vec3 => {
    const radius_mm = of.get(`${plate}.radius_mm`);
    const half_deg = of.get(`${plate}.half_angle_deg`);
    return radius_mm === undefined || half_deg === undefined
      ? leg[`${plate}_mm`]
      : ringPoint({ radius_mm, half_deg }, i);
  };
  return {
    platform: {
      ...platform,
      crank_mm: of.get('crank_mm') ?? platform.crank_mm,
      rod_mm: of.get('rod_mm') ?? platform.rod_mm,
      // Lengths beyond the stroke are no matter here: a leg is as long as its pulse makes it.
      stroke_mm: null,
      legs: platform.legs.map((leg, i) => ({
        ...leg,
        base_mm: pointOf(leg, 'base', i),
        moving_mm: pointOf(leg, 'moving', i),
      })),
    },
    centre_us: platform.legs.map((_, i) => moved(`leg${String(i + 1)}.centre_us`) + moved(COMMON_CENTRE)),
    zero_mm: moved('the ruler’s zero'),
  };
}
