/** `swap`: another servo in the place of one. Its trim is void: centre and walk that joint only, then let it move slowly for a while. */
import type { JointFigures } from '../../rig/joint-edit.ts';
import { type Joint, toShown } from '../../rig/rig.ts';
import { short } from '../../rig/words.ts';
import type { Person } from '../person.ts';
import type { Bench } from '../session/bench.ts';
import type { Shown, Verb, VerbDone } from '../verb.ts';
import { centre } from './centre.ts';
import { restsAlone, rounded } from './places.ts';
import { walk } from './walk.ts';

const MINUTE_US = 60e6;

export const SWAP: Verb = {
  takes: 'swap JOINT --rods-off [--minutes=10]',
  says: 'after a servo was changed: its centre and its walk anew, that joint only, then ten minutes of slow motion',
  joint: 'must',
  number: null,
  rodsOff: true,
  async run(bench, person, { joint: name, minutes }) {
    const old = bench.joint(name ?? '');
    const figures: Record<string, JointFigures['figures'][string]> = {};
    const take = (changes: VerbDone['changes']): void => {
      for (const change of changes) if ('joint' in change) Object.assign(figures, change.figures);
      bench.draft.change(changes);
    };
    take([
      { joint: old.name, figures: { centre_us: null, [`us_per_${old.unit}`]: null, [`walked_${old.unit}`]: null } },
    ]);
    take((await centre(bench, person, bench.joint(old.name))).changes);
    await bench.settle();
    await bench.ask(person, {
      id: 'swap.rods',
      joint: old.name,
      text: `Put the rods back on ${old.name}, hands clear. Then press Enter.`,
      unit: null,
    });
    take((await walk(bench, person, bench.joint(old.name))).changes);
    const joint = bench.joint(old.name);
    await toAndFro(bench, person, joint, minutes);
    person.say(holdsWords(old, joint));
    return { ...shownOf(old, joint), changes: [{ joint: old.name, figures }] };
  },
};

async function toAndFro(bench: Bench, person: Person, joint: Joint, minutes: number): Promise<void> {
  if (minutes === 0) return;
  await restsAlone(bench, person, joint);
  person.say(
    `${joint.name} now moves slowly for ${short(minutes)} minutes: feel whether the servo gets hot, listen whether it grinds.`,
  );
  const end_us = bench.now_us + minutes * MINUTE_US;
  for (let n = 0; bench.now_us < end_us; n++) await bench.moveTo(person, n % 2 === 0 ? joint.hi : joint.lo);
  await bench.moveTo(person, joint.rest);
}

/** Whether what was made with the old servo still holds. */
function holdsWords(old: Joint, joint: Joint): string {
  const same = joint.lo <= old.lo && joint.hi >= old.hi;
  return same
    ? `${joint.name} has its soft limits as before, and a servo of the same class: tuning and streams still hold. Its scale is the class's again: "scale ${joint.name}" measures it.`
    : `${joint.name} has narrower soft limits than before: tuning still holds, for a servo of the same class; check every stream again with replay. Its scale is the class's again: "scale ${joint.name}" measures it.`;
}

function shownOf(old: Joint, joint: Joint): Omit<VerbDone, 'changes'> {
  const shown = (it: Joint): Shown => ({
    centre_us: it.centre_us,
    [`limit_${it.unit}`]: [it.lo, it.hi].map((at) => rounded(toShown(it, at), 4)),
    [`walked_${it.unit}`]: it.walked && it.walked.map((at) => rounded(toShown(it, at), 4)),
  });
  return { before: shown(old), after: shown(joint) };
}
