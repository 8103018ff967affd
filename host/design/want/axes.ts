/** What a want file frees of the joints that are no legs: gear, counterweight, servo. */
import type { Say } from '../../rig/problem.ts';
import type { Rig } from '../../rig/rig.ts';
import { either, nearest } from '../../rig/words.ts';
import { hasSide } from '../evaluate/counterweight.ts';
import { sizesOf } from './sizes.ts';
import type { WantFile } from './schema.ts';
import type { AxisChoice, CounterweightChoice, ServoChoice } from './want.ts';

type AxisFile = NonNullable<WantFile['axes']>[string];

/** In the order of the file; with `say` told what does not fit the rig. */
export function axisChoices(file: WantFile, rig: Rig, servos: readonly ServoChoice[], say: Say): AxisChoice[] {
  const known = rig.joints.filter(({ kind }) => kind === 'axis').map(({ name }) => name);
  return Object.entries(file.axes ?? {}).flatMap(([joint, given]): AxisChoice[] => {
    const index = rig.joints.findIndex(({ name, kind }) => name === joint && kind === 'axis');
    if (index < 0) {
      const near = nearest(joint, known);
      const allowed = near === undefined ? 'none, since the rig has legs only' : `${either(known)} (nearest: ${near})`;
      say.error(['axes', joint], `found ${joint}, which is no joint of the given rig but a leg’s; allowed: ${allowed}`);
      return [];
    }
    return [
      {
        joint,
        index,
        gear_ratio: given.gear_ratio === undefined ? null : sizesOf(given.gear_ratio),
        counterweight: counterweightOf(joint, index, given, rig, say),
        instead_of: given.instead_of ?? null,
        servos: classesOf(joint, given, servos, rig, say),
        most_nm: given.most_nm ?? null,
      },
    ];
  });
}

function classesOf(joint: string, given: AxisFile, servos: readonly ServoChoice[], rig: Rig, say: Say): number[] {
  const known = servos.map(({ name }) => name);
  return (given.servo ?? []).flatMap((name, i) => {
    const at = known.indexOf(name);
    if (at >= 0) return [at];
    const allowed = known.length === 0 ? 'none: this file has no servo class' : either(known);
    const isOwn = rig.joints.some(({ servo }) => servo.name === name);
    const own = isOwn
      ? `; the given rig’s own is one with "${name}: {}" under servos, or "${name}: { legs: false }" for axes alone`
      : '';
    const message = `found ${name}, which is no servo class of this file; allowed: ${allowed}${own}`;
    say.error(['axes', joint, 'servo', i], message);
    return [];
  });
}

/** What weighs on a joint with an axis can be balanced; at what distance, the file says. */
function counterweightOf(
  joint: string,
  index: number,
  given: AxisFile,
  rig: Rig,
  say: Say,
): CounterweightChoice | null {
  const { counterweight_kg: kg, counterweight_at_mm: at } = given;
  if (kg === undefined && at === undefined) return null;
  const path = ['axes', joint];
  if (kg === undefined || at === undefined) {
    const [there, missing] =
      kg === undefined ? ['counterweight_at_mm', 'counterweight_kg'] : ['counterweight_kg', 'counterweight_at_mm'];
    say.error(path, `found ${there} without ${missing}; allowed: both, or neither`);
    return null;
  }
  if (!rig.joints[index]?.axis) {
    say.error(path, `found a counterweight on ${joint}, which has no axis in space; allowed: on a joint with an axis`);
    return null;
  }
  if (!hasSide(rig, joint)) {
    say.error(
      path,
      `found a counterweight on ${joint}, which carries its weight in its axis; allowed: none, it is balanced already`,
    );
    return null;
  }
  return { kg: sizesOf(kg), at_mm: sizesOf(at) };
}
