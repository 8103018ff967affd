/**
 * What helps where no limits do, because the servo cannot carry its load: less to carry, another gear, another servo. Each
 * with its figure, what it leaves and what it costs. Every figure is checked by finding limits with it.
 */
import { geared as gearedJoint } from '../load/sizing/changed.ts';
import { type Limits, type LimitsOrWhy, type Place, capsOf, legLimits, limitsOf } from '../physics/servo/limits.ts';
import { effortUnit, stallOf } from '../physics/servo/servo-line.ts';
import { type Joint, toDeg, toShown } from '../rig/rig.ts';
import { STAGE_EFFICIENCY } from '../rig/gear.ts';
import { frictionWords, rubsMuch } from '../rig/friction.ts';
import { rotorAt } from '../rig/rotor.ts';
import { torqueWords } from '../rig/torque.ts';
import { short } from '../rig/words.ts';
import { counterweightFor, springFor, weightOn } from './balance.ts';
import type { Plan } from './plan.ts';
import { figure, heaviest } from './words.ts';

/** A cure is enough when a full-range move takes at most so many times as long as the file's limits would (ours). */
const SLOWER = 3;
/** Of a counterweight (ours: short enough for most props). */
const ARM_M = 0.1;
const NOTHING_NM = 1e-3;
const RATIO_STEP = 0.1;
const MOST_RATIO = 20;
const MOST_STALL = 50;
const BISECTIONS = 40;

export function adviceFor(plan: Plan): string[] {
  const { name, joint } = plan;
  const all =
    plan.legPlaces.length > 0 ? [legServo(plan)] : [counterweight(plan), spring(plan), gear(plan), servo(plan)];
  const found = all.filter((words) => words !== null);
  const rubs = rubsMuch(joint.servo)
    ? [
        `${name}: measure friction_nm first: ${frictionWords(joint.servo)}; if it really is that high, free or replace the servo`,
      ]
    : [];
  return found.length > 0
    ? [...rubs, ...found.map((words) => `${name}: ${words}`)]
    : [
        ...rubs,
        `${name}: neither a counterweight, a spring, another gear nor a servo of up to ${String(MOST_STALL)} times its torque carries this load; take weight off it, or bring it nearer to its axis`,
      ];
}

/** With the file's limits as the most there may be; null: that is not enough. */
function enough({ full_range_s }: Plan, found: LimitsOrWhy): Limits | null {
  return 'none' in found || found.full_range_s > SLOWER * full_range_s.before ? null : found;
}

const leaves = (joint: Joint, { speed, full_range_s }: Limits): string =>
  `then ${figure(toShown(joint, speed))} ${joint.unit}/s, full range in ${full_range_s.toFixed(2)} s`;

const left = (residual: number): string =>
  residual < NOTHING_NM ? 'next to nothing' : `at most ${figure(residual)} N·m`;

function counterweight(plan: Plan): string | null {
  const { joint, places } = plan;
  const weight = counterweightFor(places);
  const { mass_kg, inertia } = weightOn(ARM_M, weight);
  const lighter = places.map((place): Place => ({
    at: place.at,
    hold: place.hold - weight.peak * Math.cos(place.at - weight.level_at),
    inertia: place.inertia + inertia,
  }));
  const limits = enough(plan, limitsOf(joint, lighter, capsOf(joint)));
  if (!limits) return null;
  const arm = `${short(ARM_M * 1000)} mm`;
  return `a counterweight of ${figure(mass_kg)} kg at ${arm} on the other side of the axis (${figure(mass_kg * ARM_M * 1000)} kg·mm; its arm level when the joint is at ${short(toDeg(weight.level_at), 0)} deg) leaves ${left(weight.residual)} to hold; ${leaves(joint, limits)}. Cost: its weight, on everything that carries the joint, and ${figure(inertia)} kg·m² of inertia (less with a shorter arm and more weight)`;
}

function spring(plan: Plan): string | null {
  const { joint, places } = plan;
  const { stiffness, free_at, torque, wound, residual } = springFor(places);
  const lighter = places.map(({ at, hold, inertia }): Place => ({
    at,
    hold: hold - stiffness * (free_at - at),
    inertia,
  }));
  const limits = enough(plan, limitsOf(joint, lighter, capsOf(joint)));
  if (!limits) return null;
  return `a torsion spring of ${figure(((stiffness * Math.PI) / 180) * 1000)} N·mm per degree, wound ${short(toDeg(wound), 0)} deg in the middle of the range where it gives ${figure(torque)} N·m (free at ${short(toDeg(free_at), 0)} deg), leaves ${left(residual)} to hold; ${leaves(joint, limits)}. Cost: no weight, but it pushes when the power is off and can break: keep fingers away from it`;
}

/** The joint behind another gear, and what it feels with its rotor geared so. */
export function geared(
  joint: Joint,
  places: readonly Place[],
  ratio: number,
): { readonly joint: Joint; readonly places: readonly Place[] } {
  const rotor = rotorAt({ servo: joint.servo, gear_ratio: ratio }) - rotorAt(joint);
  return {
    joint: gearedJoint(joint, ratio),
    places: places.map((place) => ({ ...place, inertia: place.inertia + rotor })),
  };
}

function gear(plan: Plan): string | null {
  const { joint, places } = plan;
  for (let step = Math.ceil(joint.gear_ratio / RATIO_STEP) + 1; step * RATIO_STEP <= MOST_RATIO; step++) {
    const ratio = Number((step * RATIO_STEP).toFixed(1));
    const other = geared(joint, places, ratio);
    const limits = enough(plan, limitsOf(other.joint, other.places, capsOf(joint)));
    if (!limits) continue;
    const stage =
      other.joint.gear_efficiency === joint.gear_efficiency
        ? ''
        : ` (counted with an efficiency of ${String(STAGE_EFFICIENCY)}, common practice)`;
    return `a gear of ${short(ratio, 1)}:1 instead of ${short(joint.gear_ratio, 2)}:1${stage}; ${leaves(joint, limits)}. Cost: speed, and play of its own${turnWords(other.joint)}`;
  }
  return null;
}

/** Whether the servo can turn so far. */
function turnWords({ range_us, us_per_unit, lo, hi, gear_ratio }: Joint): string {
  const wanted = (hi - lo) * us_per_unit;
  const there = range_us[1] - range_us[0];
  const turn = short(toDeg((hi - lo) * gear_ratio), 0);
  return wanted <= there
    ? `; its servo turns ${turn} deg for the whole range`
    : `; and its servo would have to turn ${turn} deg for the whole range, more than its pulses reach: narrow the soft limits, or use a servo that turns further`;
}

/**
 * Smallest factor on the stall torque that suffices, rounded up to two digits of torque; null: none.
 * @param suffices is told by how much the stronger servo's rotor is heavier, at the joint's coordinate, where it is assumed.
 */
function stallFor(
  joint: Joint,
  suffices: (stronger: Joint, heavier: number) => Limits | null,
): { stall: number; limits: Limits } | null {
  const own = joint.servo.stall;
  if (own === null) return null;
  const at = (stall: number): Limits | null => {
    const stronger = { ...joint, servo: { ...joint.servo, stall } };
    return suffices(stronger, rotorAt(stronger) - rotorAt(joint));
  };
  if (!at(own * MOST_STALL)) return null;
  let [lo, hi] = [own, own * MOST_STALL];
  for (let k = 0; k < BISECTIONS; k++) {
    const middle = (lo + hi) / 2;
    if (at(middle)) hi = middle;
    else lo = middle;
  }
  const unit = 10 ** (Math.floor(Math.log10(hi)) - 1);
  const stall = Number((Math.ceil(hi / unit - 1e-9) * unit).toPrecision(2));
  const limits = at(stall);
  return limits && { stall, limits };
}

function servo(plan: Plan): string | null {
  const { joint, places } = plan;
  const found = stallFor(joint, (stronger, heavier) => {
    const felt = places.map((place) => ({ ...place, inertia: place.inertia + heavier }));
    return enough(plan, limitsOf(stronger, felt, capsOf(joint)));
  });
  return found && servoWords(joint, found.stall, found.limits, joint.gear_ratio);
}

function legServo(plan: Plan): string | null {
  const { joint, legPlaces } = plan;
  const six = (leg: Joint): Joint[] => Array.from({ length: 6 }, () => leg);
  const found = stallFor(joint, (leg, heavier) => {
    const felt = legPlaces.map((place) => ({ ...place, inertia: place.inertia.map((one) => one + heavier) }));
    return enough(plan, legLimits(six(leg), felt, capsOf(joint)));
  });
  if (!found) return null;
  const { hold } = heaviest(plan);
  const short_ = `less weight on the plate, since the worst leg holds ${figure(Math.abs(hold))} ${effortUnit(joint)} of ${figure(stallOf(joint)!)} ${effortUnit(joint)}`;
  return `${servoWords(joint, found.stall, found.limits, 1)}; or ${short_}`;
}

function servoWords(joint: Joint, stall: number, limits: Limits, ratio: number): string {
  const behind = ratio === 1 ? '' : `, behind the same gear of ${short(ratio, 2)}:1`;
  const noun = joint.unit === 'deg' ? 'stall torque' : 'force';
  const [least, own] = [stall, joint.servo.stall!].map((effort) =>
    joint.unit === 'deg' ? torqueWords(effort) : `${figure(effort)} N`,
  );
  return `servos with a ${noun} of at least ${least!} instead of ${own!}, as fast without load${behind}; ${leaves(joint, limits)}. Cost: proportionally more current, and the price`;
}
