/**
 * `walk`: a joint alone, out from its centre and back, 5 deg further each time, first plus, then minus, until it binds or its soft limit
 * is reached. Where it binds, the limit is written 3 deg short of it.
 */
import { type Joint, toShown } from '../../rig/rig.ts';
import { short } from '../../rig/words.ts';
import type { Person } from '../person.ts';
import type { Bench } from '../session/bench.ts';
import { type Shown, type Verb, type VerbDone, VerbEnded } from '../verb.ts';
import { amount, placeWords, restsAlone, rounded } from './places.ts';

/** Each time so much further, and so far back from where it binds. */
const GROWS = { deg: 5, mm: 3 } as const;
const BACK = { deg: 3, mm: 1.5 } as const;
/**
 * Share of its slow speed on new ground, 5 deg/s: somebody who hears it strain presses a quarter of a second later (common practice), and
 * what it has gone on by then is to be less than half of what it goes back.
 */
const NEW_GROUND = 0.25;
/** So long after new ground the key may still mean what was heard there (ours: four times the reaction). */
const LATE_US = 1e6;

export const WALK: Verb = {
  takes: 'walk JOINT',
  says: 'moves one joint alone further and further until you say that it binds (Space), and writes its soft limits',
  joint: 'must',
  number: null,
  rodsOff: false,
  run: (bench, person, words) => walk(bench, person, bench.joint(words.joint ?? '')),
};

interface End {
  readonly at: number;
  /** It was said to bind a little beyond. */
  readonly bound: boolean;
}

export async function walk(bench: Bench, person: Person, joint: Joint): Promise<VerbDone> {
  person.binds();
  await restsAlone(bench, person, joint);
  const start = Math.min(Math.max(joint.centre, joint.lo), joint.hi);
  if (await bench.moveTo(person, start, () => person.binds()))
    throw new VerbEnded(`${joint.name} binds between its rest and its centre: look what holds it, and centre it first`);
  const hi = await outward(bench, person, joint, start, 1);
  const lo = await outward(bench, person, joint, start, -1);
  person.say(walkedWords(joint, lo, hi));
  return walkedDone(joint, lo, hi);
}

/** Further and further one way, new ground so slowly that a hand has time for the key, and back to where it began. */
async function outward(bench: Bench, person: Person, joint: Joint, start: number, way: 1 | -1): Promise<End> {
  const limit = way > 0 ? joint.hi : joint.lo;
  const step = amount(joint, GROWS.deg, GROWS.mm);
  const walked = new WalkedGround(bench, person, joint);
  let reached = start;
  for (let n = 1; ; n++) {
    const to = way * (start + way * n * step) < way * limit ? start + way * n * step : limit;
    if (to === start) return { at: start, bound: false };
    if (n > 1) await walked.goTo(reached);
    if (await bench.moveTo(person, to, () => person.binds(), NEW_GROUND))
      return backed(bench, person, joint, start, way);
    // It may have bound anywhere on this new ground: up to where that began it moved freely.
    if (await walked.goTo(start, LATE_US)) return lateEnd(joint, reached, start);
    if (to === limit) return { at: limit, bound: false };
    reached = to;
  }
}

/** Where the joint has moved freely before. It is not to bind there: said once, it may have been the key; said twice, it ends the walk. */
class WalkedGround {
  private readonly bench: Bench;
  private readonly person: Person;
  private readonly joint: Joint;
  private said = 0;

  constructor(bench: Bench, person: Person, joint: Joint) {
    [this.bench, this.person, this.joint] = [bench, person, joint];
  }

  /** Resolves whether it was said to bind within the first so many us: it is there then all the same. */
  async goTo(to: number, late_us = 0): Promise<boolean> {
    const { bench, person, joint } = this;
    const late_at_us = bench.now_us + late_us;
    let isLate = false;
    let isIdle = false;
    const binds = (): boolean => {
      const said = person.binds();
      if (said && bench.now_us <= late_at_us) isLate = true;
      else if (said) isIdle = true;
      return said;
    };
    while (await bench.moveTo(person, to, binds)) {
      if (!isIdle) continue;
      isIdle = false;
      if (++this.said > 1)
        throw new VerbEnded(
          `${joint.name} binds where it had moved freely: look what came in its way, and walk it again`,
        );
      person.say(
        `${joint.name} has moved freely here, so this does not count: press Space as soon as it binds, and Escape if something is in its way.`,
      );
    }
    return isLate;
  }
}

function lateEnd(joint: Joint, reached: number, start: number): End {
  if (reached === start) throw new VerbEnded(atCentreWords(joint, start));
  return { at: reached, bound: true };
}

const atCentreWords = (joint: Joint, bound: number): string =>
  `${joint.name} binds at ${placeWords(joint, bound)}, right at its centre: look what holds it`;

async function backed(bench: Bench, person: Person, joint: Joint, start: number, way: 1 | -1): Promise<End> {
  const bound = bench.endedAt;
  const at = bound - way * amount(joint, BACK.deg, BACK.mm);
  if (!(way * at > way * start)) throw new VerbEnded(atCentreWords(joint, bound));
  await bench.moveTo(person, at);
  // It may be said twice while it backs off.
  person.binds();
  await bench.moveTo(person, start);
  return { at, bound: true };
}

function walkedWords(joint: Joint, lo: End, hi: End): string {
  const end = ({ at, bound }: End): string =>
    bound
      ? `it binds, so its limit is now ${placeWords(joint, at)}`
      : `it did not bind, and its limit stands at ${placeWords(joint, at)}`;
  return `${joint.name} is walked. Plus: ${end(hi)}. Minus: ${end(lo)}.`;
}

/** Both ends as the file has them: rounded inward, and limits that stand as they are. */
function walkedDone(joint: Joint, lo: End, hi: End): VerbDone {
  const inward = ({ at, bound }: End, way: 1 | -1): number => {
    const shown = toShown(joint, at);
    return bound ? rounded((way * Math.floor(way * shown * 10 + 1e-6)) / 10, 1) : rounded(shown, 6);
  };
  const ends = [inward(lo, -1), inward(hi, 1)];
  const [limit, walked] = [`limit_${joint.unit}`, `walked_${joint.unit}`];
  const before: Shown = {
    [limit]: [joint.lo, joint.hi].map((at) => rounded(toShown(joint, at), 6)),
    [walked]: joint.walked && joint.walked.map((at) => rounded(toShown(joint, at), 6)),
  };
  const after: Shown = { [limit]: ends, [walked]: ends };
  const narrowed = lo.bound || hi.bound;
  if (!(Number(ends[0]) < Number(ends[1])))
    throw new VerbEnded(`${joint.name} has no way to go: ${ends.map((end) => short(end)).join(' to ')} ${joint.unit}`);
  return {
    before,
    after,
    changes: [{ joint: joint.name, figures: { ...(narrowed ? { [limit]: ends } : {}), [walked]: ends } }],
  };
}
