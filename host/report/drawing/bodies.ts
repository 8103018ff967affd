/**
 * The servos' bodies on the base plate: their outlines, whether they go through it, and what a builder must know of them, in words.
 * Only for rigs whose file has `platform.clearance`. Screw holes are not known and not drawn. Lengths mm, frame of the base.
 */
import { servoBox } from '../../physics/kinematics/bodies.ts';
import { boxToBox } from '../../physics/kinematics/boxes.ts';
import { usualClearance } from '../../rig/clearance.ts';
import type { Clearance } from '../../rig/clearance.ts';
import type { Leg, Platform } from '../../rig/rig.ts';
import { belowFace_mm, bodyCorners, faceBehindRod_mm } from '../../rig/servo-body.ts';
import { short, together } from '../../rig/words.ts';

type Point = readonly [x: number, y: number];

/** Two bodies without the room they need. */
export interface Crowded {
  /** Both legs. */
  readonly joints: readonly [string, string];
  /** Between them; below 0: how far one must be moved until they only touch. */
  readonly room_mm: number;
  /** `platform.clearance.gap_mm`. */
  readonly wanted_mm: number;
}

export interface Bodies {
  /** Corners by leg. */
  readonly outlines: readonly (readonly Point[])[];
  /** Whether they reach below the plate's face: then the outlines are to be cut out. */
  readonly isCut: boolean;
  /** What they are taken to be. */
  readonly words: readonly string[];
  /** Bodies that overlap, or come too near each other; none: all have room. */
  readonly crowded: readonly Crowded[];
  /** The same in words. */
  readonly faults: readonly string[];
}

/** Null: the file has no clearance, or no cranks. */
export function bodiesOf({ drive, legs, clearance: given }: Platform): Bodies | null {
  if (drive !== 'crank' || !given) return null;
  const clearance = usualClearance(given);
  const crowded = crowdedOf(legs, clearance);
  return {
    outlines: legs.map((leg) => bodyCorners(leg, clearance)),
    isCut: belowFace_mm(clearance) > TOUCH_MM,
    words: [...sizeWords(clearance), standWords(clearance)],
    crowded,
    faults: faultWords(crowded, clearance),
  };
}

/** Less than this is a matter of rounding. */
const TOUCH_MM = 1e-6;

const mm = (value: number): string => `${short(value, 2)} mm`;

function sizeWords(clearance: Clearance): readonly string[] {
  const { servo_body_mm, horn_thick_mm, rod_thick_mm, assumed } = clearance;
  const [long, height, deep] = servo_body_mm.map((value) => short(value, 2));
  const source = assumed.includes('servo_body_mm') ? 'as assumed' : 'as the rig file gives them';
  const taken = (key: keyof Clearance): string => (assumed.includes(key) ? ' (assumed)' : '');
  return [
    `Servo bodies ${source}: ${String(long)} mm along the crank, ${String(deep)} mm along the shaft, ${String(height)} mm high; the shaft is taken to be in the middle. Measure yours.`,
    `Each begins ${mm(faceBehindRod_mm(clearance))} inward of the joint’s centre: half a rod of ${mm(rod_thick_mm)}${taken('rod_thick_mm')} and a horn of ${mm(horn_thick_mm)}${taken('horn_thick_mm')}.`,
  ];
}

function standWords(clearance: Clearance): string {
  const { axes_above_base_mm, assumed } = clearance;
  const below = belowFace_mm(clearance);
  const axes = `the axes are ${mm(axes_above_base_mm)} above it${assumed.includes('axes_above_base_mm') ? ' (assumed)' : ''}`;
  const screws = 'Screw holes are not drawn: take them from your servo.';
  if (below > TOUCH_MM)
    return `The outlines are cut-outs without play: the bodies reach ${mm(below)} below the plate’s face; ${axes}. ${screws}`;
  const stands = below < -TOUCH_MM ? `are ${mm(-below)} above the plate` : 'stand on the plate';
  return `The outlines are for reference, not holes: the bodies ${stands}; ${axes}. ${screws}`;
}

function crowdedOf(legs: readonly Leg[], clearance: Clearance): readonly Crowded[] {
  const boxes = legs.map((leg) => servoBox(leg, clearance));
  const wanted_mm = clearance.gap_mm;
  return boxes.flatMap((box, i) =>
    boxes.slice(0, i).flatMap((other, k): Crowded[] => {
      const room_mm = boxToBox(box, 0, other, 0);
      if (!overlaps(room_mm) && room_mm >= wanted_mm - TOUCH_MM) return [];
      return [{ joints: [`leg${String(k + 1)}`, `leg${String(i + 1)}`], room_mm, wanted_mm }];
    }),
  );
}

/** NaN does. */
const overlaps = (room_mm: number): boolean => !(room_mm > -TOUCH_MM);

function faultWords(crowded: readonly Crowded[], { gap_mm, assumed }: Clearance): readonly string[] {
  const overlapping = crowded.filter(({ room_mm }) => overlaps(room_mm));
  const near = crowded.filter(({ room_mm }) => !overlaps(room_mm));
  const list = (pairs: readonly Crowded[], say: (room_mm: number) => string): string =>
    together(pairs.map(({ joints, room_mm }) => `${joints.join(' and ')} (${say(room_mm)})`));
  const wanted = `${mm(gap_mm)}${assumed.includes('gap_mm') ? ' (assumed)' : ''}`;
  return [
    ...(overlapping.length > 0
      ? [
          `SERVO BODIES OVERLAP: ${list(overlapping, (room_mm) => `by ${mm(Math.abs(room_mm))}`)}. As drawn they cannot be built side by side.`,
        ]
      : []),
    ...(near.length > 0
      ? [
          `Servo bodies stand too near each other: ${list(near, (room_mm) => `${mm(Math.max(0, room_mm))} apart`)}; ${wanted} must stay free.`,
        ]
      : []),
  ];
}
