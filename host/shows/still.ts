/** A show with joints held still at home: which joints can be, and what is then played. */
import type { Rig } from '../rig/rig.ts';
import { either, nearest } from '../rig/words.ts';
import { decodeShow } from './decode.ts';
import type { Frames } from './encode.ts';
import { POSE } from './layout.ts';
import type { PackedShow } from './night-file.ts';

/** The joints of these names as the controller has them, bit j for joint j of the rig; or what is wrong with each name, in words. */
export function stillJoints(rig: Rig, names: readonly string[]): number | readonly string[] {
  const others = rig.joints.filter(({ kind }) => kind !== 'leg').map(({ name }) => name);
  const faults: string[] = [];
  let mask = 0;
  for (const name of names) {
    const j = rig.joints.findIndex((joint) => joint.name === name);
    const close = name === '' ? undefined : nearest(name, others);
    if (j >= 0 && rig.joints[j]?.kind === 'leg')
      faults.push(
        `${name} is a leg, and all six carry the plate together: none of them can be held alone. Change its servo first (the night card says how)`,
      );
    else if (j < 0)
      faults.push(
        `found ${name === '' ? 'no name' : name}, which is no joint of this rig; ${others.length === 0 ? 'it has none that can be held' : `allowed: ${either(others)}${close === undefined ? '' : ` (nearest: ${close})`}`}`,
      );
    else mask |= 1 << j;
  }
  return faults.length > 0 ? faults : mask;
}

/** A show's frames without the values of these joints, which then stand at home. */
export function framesHeld(rig: Rig, show: PackedShow, still: number): Frames {
  const { places, count, steps } = decodeShow(show.data, { ...show, joints: rig.joints.length });
  const isHeld = (place: number): boolean => place >= POSE && ((still >> (place - POSE)) & 1) === 1;
  const kept = places.flatMap((place, i) => (isHeld(place) ? [] : [i]));
  const left = new Int32Array(count * kept.length);
  for (let n = 0; n < count; n++)
    kept.forEach((i, k) => {
      left[n * kept.length + k] = steps[n * places.length + i]!;
    });
  return { places: kept.map((i) => places[i]!), steps: left, count };
}
