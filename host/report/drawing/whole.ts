/** The whole prop from its right side in the world: what carries what, axes and their plus, mount, pivot, masses. */
import type { Joint, Rig } from '../../rig/rig.ts';
import { HOME, toDeg } from '../../rig/rig.ts';
import { framesOf, inWorld } from '../draw/frames.ts';
import { markup } from '../draw/markup.ts';
import type { Markup } from '../draw/markup.ts';
import { outlinePoints, propSide } from '../draw/prop.ts';
import { type Placed, drawingSvg } from '../draw/scene.ts';
import { type Point, fromSide } from '../draw/silhouette.ts';
import { path } from '../draw/svg.ts';
import type { Note } from './notes.ts';
import { type View, arcArrow, through } from './view.ts';
import { at, kg, plusWords } from './words.ts';

type Frames = ReturnType<typeof framesOf>;

function pivotOf({ name, axis }: Joint, frames: Frames): Point | null {
  const frame = frames.get(name);
  return axis && frame ? fromSide(inWorld(frame, axis.at_mm)) : null;
}

function axisNotes({ joints }: Rig, frames: Frames): Note[] {
  return joints.flatMap((joint): Note[] => {
    const point = pivotOf(joint, frames);
    if (!point || !joint.axis) return [];
    const words = `${joint.name}: pin ${String(joint.pin)}, servo ${joint.servo.name}, axis at ${at(joint.axis.at_mm)}; plus: ${plusWords(joint, undefined)}`;
    return [{ words, at: point }];
  });
}

function placeNotesOf(rig: Rig, frames: Frames): Note[] {
  const parts = rig.parts.flatMap(({ name, on, mass_kg, at_mm, fitted }): Note[] => {
    const frame = frames.get(on);
    if (!frame || !fitted) return [];
    const mass = mass_kg === null ? 'mass unknown' : kg(mass_kg);
    return [{ words: `${name}: ${mass}, on ${on}, at ${at(at_mm)}`, at: fromSide(inWorld(frame, at_mm)) }];
  });
  const moving = frames.get('moving');
  const faces = rig.joints.flatMap(({ name, pin, at_mm }): Note[] =>
    at_mm && moving
      ? [{ words: `${name}: pin ${String(pin)}, at ${at(at_mm)}`, at: fromSide(inWorld(moving, at_mm)) }]
      : [],
  );
  return [...parts, ...faces];
}

function platformNotes({ platform }: Rig, frames: Frames): Note[] {
  const [base, moving] = [frames.get('base'), frames.get('moving')];
  if (!platform || !base || !moving) return [];
  const { mount, mounted, on, pivot_mm } = platform;
  const [roll, pitch, yaw] = mount.rpy_rad.map((angle) => Number(toDeg(angle).toFixed(2)));
  const turn = `roll ${String(roll)}, pitch ${String(pitch)}, yaw ${String(yaw)} deg`.replaceAll('-', '\u2212');
  const how = mounted ? '' : ' (not given: taken as level)';
  return [
    { words: `mount: ${at(mount.at_mm)}, ${turn}, on ${on ?? 'the ground'}${how}`, at: fromSide(base.origin_mm) },
    { words: `pivot: ${at(pivot_mm)} from the moving plate`, at: fromSide(inWorld(moving, pivot_mm)) },
  ];
}

/** Axes that cross the picture show the way of plus; seen from the right, y points away, and plus about it is clockwise. */
function turnsSvg({ joints }: Rig, frames: Frames, placed: Placed): Markup {
  const arrows = joints.flatMap((joint): Markup[] => {
    const point = pivotOf(joint, frames);
    const across = joint.axis ? joint.axis.along[1] / Math.hypot(...joint.axis.along) : 0;
    if (!point || Math.abs(across) < 0.5) return [];
    return [arcArrow(placed, point, 24 / placed.px_per_mm, 0.3, across > 0 ? 0.3 - 2 : 0.3 + 2)];
  });
  return markup`${arrows}`;
}

/** The view, or null for a rig with nothing placed in space. */
export function wholeView(rig: Rig): View | null {
  const coordinates = rig.joints.map(({ home }) => home);
  const pose = rig.platform ? HOME : null;
  const drawings = propSide(rig, coordinates, pose);
  const frames = framesOf(rig, coordinates, pose);
  if (drawings.length === 0) return null;
  const spans = [...drawings.flatMap(outlinePoints), [0, 0] as const];
  const left = Math.min(...spans.map(([x]) => x));
  const right = Math.max(...spans.map(([x]) => x));
  return {
    title: 'The prop from its right side, at home',
    lead: 'It looks to the right: x to the right, z up, in the world. Positions in brackets are in the frame of what carries them.',
    spans,
    draw: (placed) =>
      markup`${path(
        'datum',
        through(placed, [
          [left, 0],
          [right, 0],
        ]),
      )}
        <g class="now">${drawings.map((drawing) => drawingSvg(drawing, placed))}</g>${turnsSvg(rig, frames, placed)}`,
    notes: [
      { words: 'z = 0 of the world', at: [left, 0] },
      ...axisNotes(rig, frames),
      ...platformNotes(rig, frames),
      ...placeNotesOf(rig, frames),
    ],
  };
}
