/**
 * How far the world may be from the file before a servo runs out with these limits: a lower supply, more weight, friction, drag,
 * each alone; and whether half of each holds together. By the sums that the limits come from, with all that a servo has instead
 * of peak_use; then the joint that runs out first is tried on simulated metal, and the margin lessened where that says otherwise.
 */
import {
  type LegPlace,
  type LimitsOrWhy,
  type Place,
  fullRange,
  legLimits,
  limitsOf,
} from '../physics/servo/limits.ts';
import type { Posture } from '../physics/dynamics/places.ts';
import { type Joint, type Rig, toShown } from '../rig/rig.ts';
import { type Change, UNCHANGED, changedRig, changedServo, frictionAt, heavier } from './changed.ts';
import { type Plan, eachOf, planLimits } from './plan.ts';
import type { Margin, Margins } from './result.ts';
import type { Trial } from './verify.ts';

type What = Margin['what'];

/** Nobody needs to know of more: half the voltage, twice the weight, friction of half the torque (ours). */
const MOST: Change = { voltage: 0.5, weight: 1, friction: 0.5, damping: 1 };
const WHATS = ['voltage', 'weight', 'friction', 'damping'] as const satisfies readonly What[];
const HALVINGS = 12;
/** What is left of a margin that the metal does not bear, try by try. */
const LEFT = [1, 0.7, 0.45, 0.25, 0.1, 0.04, 0.01] as const;
const TOGETHER = 0.5;
const ALLOWED = 1 + 1e-6;

/** A plan, and what it feels when all that weighs is twice as heavy. */
interface Judged {
  readonly plan: Plan;
  readonly twice: Plan;
}

export interface MarginsOf {
  /** With the new limits. */
  readonly rig: Rig;
  readonly plans: readonly Plan[];
  readonly postures: readonly Posture[];
  /** The moves of these plans, by name, that the limits were tried with. */
  readonly tryRig: (rig: Rig, names: readonly string[]) => Promise<Trial>;
}

/** Null: nothing is known of any joint. All servos keep up with the limits as they are. */
export async function marginsOf({ rig, plans, postures, tryRig }: MarginsOf): Promise<Margins | null> {
  const doubled = planLimits(heavier(rig, 1), postures, false);
  const judged = plans
    .map((plan, k): Judged => ({ plan, twice: doubled[k]! }))
    .filter((one) => one.plan.outcome !== 'unknown' && keeps(rig, one, UNCHANGED));
  if (judged.length === 0) return null;
  const alone: Margin[] = [];
  const found: Record<What, number> = { ...UNCHANGED };
  for (const what of WHATS) {
    const { share, joint } = await provenShare(rig, judged, what, tryRig);
    found[what] = share;
    alone.push({ what, ...saidAs(rig, what, share), joint: share < MOST[what] ? joint : null });
  }
  const half = (what: What): number => TOGETHER * found[what];
  const change: Change = {
    voltage: half('voltage'),
    weight: half('weight'),
    friction: half('friction'),
    damping: half('damping'),
  };
  const first = [...new Set(alone.flatMap(({ joint }) => joint ?? []))];
  const short = firstShort(rig, judged, change) ?? shortIn(judged, await tryRig(changedRig(rig, change), first));
  return { alone, together: { of: TOGETHER, holds: short === null, joint: short } };
}

/** The largest share by the sums, lessened until simulated metal bears it; and which joint runs out first beyond it. */
async function provenShare(
  rig: Rig,
  judged: readonly Judged[],
  what: What,
  tryRig: MarginsOf['tryRig'],
): Promise<{ readonly share: number; readonly joint: string | null }> {
  const { share, joint } = largestShare(rig, judged, what);
  if (joint === null) return { share, joint };
  for (const left of share === 0 ? [] : LEFT) {
    const trial = await tryRig(changedRig(rig, { ...UNCHANGED, [what]: left * share }), [joint]);
    if (shortIn(judged, trial) === null) return { share: left * share, joint };
  }
  return { share: 0, joint };
}

/** By the sums alone. */
export function largestShare(
  rig: Rig,
  judged: readonly Judged[],
  what: What,
): { readonly share: number; readonly joint: string | null } {
  const shortAt = (share: number): string | null => firstShort(rig, judged, { ...UNCHANGED, [what]: share });
  let joint = shortAt(MOST[what]);
  if (joint === null) return { share: MOST[what], joint };
  let [lo, hi] = [0, MOST[what]];
  for (let k = 0; k < HALVINGS; k++) {
    const middle = (lo + hi) / 2;
    const short = shortAt(middle);
    if (short === null) lo = middle;
    else [hi, joint] = [middle, short];
  }
  return { share: lo, joint };
}

const firstShort = (rig: Rig, judged: readonly Judged[], change: Change): string | null =>
  judged.find((one) => !keeps(rig, one, change))?.plan.name ?? null;

/** Whose servo runs out on simulated metal, or what falls; null: none. */
const shortIn = (judged: readonly Judged[], { joints, fell }: Trial): string | null =>
  judged.find(({ plan }) => plan.members.some((i) => joints[i]!.saturated_ms > 0 || joints[i]!.falls))?.plan.name ??
  fell;

/** Whether all that a changed servo has still gives the plan's limits, wherever it was looked at. */
function keeps(rig: Rig, { plan, twice }: Judged, change: Change): boolean {
  const { joint, range, members } = plan;
  const limits = eachOf(plan.limits, (value) => value / toShown(joint, 1));
  const caps = { ...limits, use: 1 };
  const rub = frictionAt(joint, change);
  const other = (one: Joint): Joint => ({ ...one, servo: changedServo(one.servo, change) });
  const found: LimitsOrWhy =
    plan.legPlaces.length > 0
      ? legLimits(
          members.map((i) => other(rig.joints[i]!)),
          rubbedLegs(mixedLegs(plan, twice, change.weight), rub),
          caps,
        )
      : limitsOf(other(joint), rubbed(mixed(plan.places, twice.places, change.weight), rub), caps);
  return !('none' in found) && found.full_range_s <= fullRange(range, limits) * ALLOWED;
}

const between = (one: number, twice: number, weight: number): number => one + weight * (twice - one);

function byPlace(places: readonly Place[]): Map<number, Place[]> {
  const found = new Map<number, Place[]>();
  for (const place of places) found.set(place.at, [...(found.get(place.at) ?? []), place]);
  return found;
}

/** Most and least to hold at every place; between the file's weight and twice that never less than it is: both are convex. */
function mixed(places: readonly Place[], twice: readonly Place[], weight: number): Place[] {
  const heavy = byPlace(twice);
  return [...byPlace(places)].flatMap(([key, light]) => {
    const most = (of: readonly Place[], sign: 1 | -1): number => sign * Math.max(...of.map(({ hold }) => sign * hold));
    const also = heavy.get(key) ?? light;
    return ([1, -1] as const).map((sign) => ({
      at: key,
      hold: between(most(light, sign), most(also, sign), weight),
      inertia: between(light[0]!.inertia, also[0]!.inertia, weight),
    }));
  });
}

const mixedLegs = (plan: Plan, twice: Plan, weight: number): LegPlace[] =>
  plan.legPlaces.map(({ hold, inertia }, k) => {
    const also = twice.legPlaces[k]!;
    return {
      hold: hold.map((value, i) => between(value, also.hold[i]!, weight)),
      inertia: inertia.map((value, i) => between(value, also.inertia[i]!, weight)),
    };
  });

/** Dry friction is against whichever way it goes: as if there were more to hold, and as if less. */
const rubbed = (places: readonly Place[], rub: number): Place[] =>
  rub === 0
    ? [...places]
    : places.flatMap((place) => [
        { ...place, hold: place.hold + rub },
        { ...place, hold: place.hold - rub },
      ]);

const rubbedLegs = (places: readonly LegPlace[], rub: number): LegPlace[] =>
  rub === 0
    ? [...places]
    : places.flatMap((place) => [1, -1].map((sign) => ({ ...place, hold: place.hold.map((one) => one + sign * rub) })));

const PERCENT = 100;

/** To the safe side, with digits that it is worth. */
function saidAs({ supply }: Rig, what: What, share: number): Pick<Margin, 'alone' | 'unit'> {
  const volts = supply?.voltage_v ?? null;
  if (what === 'voltage' && volts !== null)
    return { alone: Math.ceil(volts * (1 - share) * 10 - 1e-9) / 10, unit: 'V' };
  const percent = PERCENT * share;
  return { alone: percent < 1 ? Math.floor(percent * 10) / 10 : Math.floor(percent + 1e-9), unit: 'percent' };
}

/** `nod runs out first`. */
const runsOutWords = (joint: string): string => (joint === 'legs' ? 'the legs run out' : `${joint} runs out`);

/** Nothing was found that holds: that is not to say that nothing does. */
const isNone = ({ unit, alone }: Pick<Margin, 'unit' | 'alone'>): boolean => unit === 'percent' && alone === 0;

function muchWords({ what, alone, unit }: Margin): string {
  const percent = isNone({ unit, alone }) ? 'less than 1 %' : `${String(alone)} %`;
  switch (what) {
    case 'voltage':
      return unit === 'V' ? `a supply down to ${alone.toFixed(1)} V` : `${percent} less voltage`;
    case 'weight':
      return `${percent} more weight`;
    case 'friction':
      return `dry friction of ${percent} of a servo’s stall torque`;
    case 'damping':
      return `drag of ${percent} of stall torque at no-load speed`;
  }
}

/** As a maker says it, one sentence without its stop. */
export function marginWords({ alone, together }: Margins): string {
  const joints = [...new Set(alone.flatMap(({ joint }) => joint ?? []))];
  const [only] = joints;
  if (only !== undefined && alone.every(({ alone: much, unit }) => unit === 'V' || much === 0))
    return `these limits leave no margin: ${runsOutWords(only)} with the least more weight, friction or drag, or the least less voltage`;
  const each = (margin: Margin): string =>
    joints.length < 2 || margin.joint === null
      ? muchWords(margin)
      : `${muchWords(margin)} (then ${runsOutWords(margin.joint)})`;
  const said = alone.map(each).join(', or ');
  const first = joints.length === 1 && only !== undefined ? `; beyond that ${runsOutWords(only)} first` : '';
  const both = together.holds
    ? alone.some(isNone)
      ? ''
      : '; they also hold with half of each together'
    : `; with half of each together${together.joint === null ? ' they do not hold' : `, ${runsOutWords(together.joint)}`}`;
  return `these limits still hold with ${said}, each on its own${first}${both}`;
}
