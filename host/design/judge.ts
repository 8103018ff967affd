/**
 * A written design judged by the library itself: its rig file read and checked as any other, its travels by `reach`, its torques and
 * current by `load`, every pose of the stream. The evaluator only proposes; what does not hold here is not shown.
 */
import { reach } from '../reach/reach.ts';
import { AXES, type AxisName, nameOf } from '../reach/axes.ts';
import type { AxisTravel } from '../reach/result.ts';
import { HardestHold } from '../load/hardest-hold.ts';
import { load } from '../load/load.ts';
import { postureOf } from '../load/places.ts';
import type { LoadAnswer } from '../load/result.ts';
import { modesAt } from '../physics/vibration/modes.ts';
import { roomAt } from '../physics/kinematics/bodies.ts';
import { inverse, whatStops } from '../physics/kinematics/inverse.ts';
import { type Clearance, usualClearance } from '../rig/clearance.ts';
import type { RigFiles } from '../rig/read.ts';
import { readRig } from '../rig/read.ts';
import { HOME, type Platform, type Rig, toRad } from '../rig/rig.ts';
import { plateRadius_mm } from '../rig/plates.ts';
import { short } from '../rig/words.ts';
import { cornersOf, endsOf } from './asked-poses.ts';
import type { Design } from './design.ts';
import { counterweightName } from './evaluate/candidate-rig.ts';
import { heavierRig } from './evaluate/margins.ts';
import { heightOf } from './evaluate/sizes.ts';
import { type ClearTravel, clearTravels } from './free-travel.ts';
import { type Hardest, hardestHold } from './hold-use.ts';
import { type TooWide, tooWide } from './soft-limits.ts';
import { type Want, isDriven } from './want/want.ts';

/** A joint whose servo nobody asked to design: what it lacks for the stream, or to hold. */
export interface Alone {
  readonly joint: string;
  readonly what: 'speed' | 'move' | 'hold';
  /** Share of its servo; null: beyond its speed. */
  readonly use: number | null;
}

/** What the library says of a design that holds. Travels mm and degrees, with stops; uses with the want's margins. */
export interface Judged {
  readonly rig: Rig;
  readonly text: string;
  /** From home, each ended where a leg stops it or two bodies come nearer than gap_mm. */
  readonly travel: readonly ClearTravel[];
  /** Largest share of a servo's torque along the stream, of legs and of axes that are designed; null: no stream. */
  readonly use: number | null;
  /** To hold: `hardestHold`. */
  readonly hold_use: number;
  /** What `use` in a want's `better` compares: along the stream, without one to hold. */
  readonly torque_used: Hardest;
  readonly lowest_hz: number;
  /** What the servo of a designed axis holds at the hardest place that the soft limits allow, N·m: as `load` says of this rig, without margins. */
  readonly axis_hold_nm: Readonly<Record<string, number>>;
  /** Joints whose servo is not designed, and too weak or too slow. */
  readonly left_alone: readonly Alone[];
  /** null: no servo is chosen, or the price of one is not told. */
  readonly price: number | null;
  /** Circles through the joints, and the height at home as `room.height_mm` has it. */
  readonly size_mm: { readonly base_radius: number; readonly plate_radius: number; readonly height: number };
  readonly peak_a: number | null;
}

export interface Refused {
  /** In a few words, the same for designs that fail alike. */
  readonly refused: string;
  /** Narrower soft limits may do. */
  readonly too_wide?: TooWide;
}

/** What the evaluator rounds is not the design's fault. */
const NEAR = 1e-4;
/** The same of the room between bodies. */
const NEAR_MM = 1e-3;

export function judge(want: Want, design: Design, text: string, files: RigFiles = {}): Judged | Refused {
  const { rig, problems, advice } = readRig(text, undefined, files);
  if (!rig?.platform) {
    const first = problems.find(({ severity }) => severity === 'error');
    return { refused: `check: ${first?.path ?? 'file'}: ${first?.message ?? 'no platform'}` };
  }
  const warned = advice.find(({ path }) => path.startsWith('platform.'));
  if (warned && !hasAdvice(want, warned.path, files))
    return { refused: `check warns: ${warned.path}: ${firstSentence(warned.message)}` };
  const travel = reach(rig, { at: HOME, planes: [], box: null, samples: 0, seed: 1, sensitivity: false });
  if (!travel.ok) return { refused: 'reach: the plate hangs loose at home or on the way to the end of a travel' };
  const short = shortTravel(want, travel.axes) ?? shortTogether(want, rig);
  if (short !== null) return { refused: short };
  // Bodies take longest, and refuse least.
  const figures = carried(want, design, rig);
  if ('refused' in figures) return figures;
  const clearance = usualClearance(rig.platform.clearance ?? {});
  const crowded = noRoom(want, rig.platform, clearance);
  if (crowded !== null) return { refused: crowded };
  const clear = clearTravels(rig.platform, clearance, travel.axes);
  const touching = shortAxis(want, clear, 1);
  if (touching) return { refused: `reach: bodies come too near each other within what is asked of ${touching}` };
  return { ...figures, rig, text, travel: clear };
}

/** What follows has figures, which differ from design to design. */
const firstSentence = (words: string): string => words.split(/\.(?: |$)/)[0]!;

/** Whether the given rig is warned of the same. */
const hasAdvice = ({ base_text }: Want, at: string, files: RigFiles): boolean =>
  readRig(base_text, undefined, files).advice.some(({ path }) => path === at);

function shortTravel(want: Want, axes: readonly AxisTravel[]): string | null {
  const short = shortAxis(want, axes, 1 + want.must.spare_travel);
  return short && `reach: ${short} goes less far than asked`;
}

/** The first that goes less far than `times` what is asked. */
function shortAxis(
  { must }: Want,
  axes: readonly Pick<AxisTravel, 'unit' | 'minus' | 'plus'>[],
  times: number,
): AxisName | null {
  const share = times * (1 - NEAR);
  const short = AXES.find((axis) => {
    const { minus, plus } = must.travel[axis]!;
    const own = axes[axis]!;
    const unit = own.unit === 'deg' ? toRad(1) : 1;
    return !(own.minus * unit <= minus * share && own.plus * unit >= plus * share);
  });
  return short === undefined ? null : nameOf(short);
}

function shortTogether(want: Want, rig: Rig): string | null {
  const { together } = want.must;
  if (together === 0) return null;
  const isStopped = cornersOf(want, together * (1 - NEAR)).some((pose) => whatStops(rig, pose) !== null);
  return isStopped ? 'reach: not all travels at once' : null;
}

/** Its height at home; and its bodies there and in the corners of what is asked at once: those along travels are looked at by themselves. */
function noRoom(want: Want, platform: Platform, clearance: Clearance): string | null {
  const { room, must } = want;
  if (!(heightOf(clearance, platform.home_z_mm) <= room.height_mm * (1 + NEAR)))
    return 'reach: it is higher than room.height_mm';
  const poses = [HOME, ...(must.together > 0 ? cornersOf(want, must.together) : [])];
  for (const pose of poses) {
    const legs = inverse(platform, pose);
    if (!legs) continue;
    const { mm, between } = roomAt(platform, clearance, legs, pose);
    if (!(mm >= clearance.gap_mm - NEAR_MM))
      return `reach: bodies come nearer than clearance.gap_mm: ${kindsOf(between)}`;
  }
  return null;
}

/** Bodies whichever leg they belong to, so that designs that fail alike are told alike. */
const kindsOf = (between: readonly string[]): string =>
  between.map((name) => name.replace(/^leg\d’s /, 'a ')).join(' and ');

function carried(want: Want, design: Design, rig: Rig): Omit<Judged, 'rig' | 'text' | 'travel'> | Refused {
  const { must, firm, margins, axes } = want;
  const weighed = new Set(design.axes.map(({ joint }) => counterweightName(joint)));
  const hard = heavierRig(rig, { weight: 1 + margins.heavier, voltage: 1 - margins.less_voltage }, weighed);
  const answer = load(hard, { pose: HOME, without: [], stream: must.follow });
  if ('refused' in answer) return { refused: `load: ${answer.refused}` };
  if ((answer.out_of_reach ?? 0) > 0) return { refused: 'load: a part of the stream is out of reach' };
  const free = new Set(axes.map(({ joint }) => joint));
  const driven = new Set(axes.filter(isDriven).map(({ joint }) => joint));
  const own = answer.joints.filter(({ leg, name }) => leg || driven.has(name));
  const fast = own.find(({ along }) => along?.impossible === 'speed');
  if (fast) return { refused: 'load: the stream is faster than a servo' };
  const moving = must.follow ? hardestAlong(own, must.follow.name) : null;
  const use = moving && moving.use;
  if (use !== null && !(use <= firm.use * (1 + TOLD)))
    return { refused: `load: the stream takes more than ${percent(firm.use)}` };
  const holding = hardestHold(want, hard, free);
  const hold_use = holding.use;
  if (!(hold_use <= firm.hold_use * (1 + TOLD)))
    return { refused: `load: holding takes more than ${percent(firm.hold_use)}` };
  const wide = tooWide(want, hard, answer);
  if (wide) return wide;
  const lowest_hz = lowestHz(want, hard);
  if (!(lowest_hz > 0 && lowest_hz >= firm.lowest_hz * (1 - TOLD)))
    return { refused: 'load: it swings slower than asked, or is not held' };
  const axis_hold_nm = axisHolds(rig, axes);
  const tooMuch = axes.find(
    ({ joint, most_nm }) => most_nm !== null && !(axis_hold_nm[joint]! <= most_nm * (1 + TOLD)),
  );
  if (tooMuch) return { refused: `load: ${tooMuch.joint} holds more than asked` };
  return {
    use,
    hold_use,
    torque_used: moving ?? holding,
    lowest_hz,
    axis_hold_nm,
    left_alone: leftAlone(answer, driven, firm),
    price: priceOf(want, design),
    size_mm: sizeOf(want, rig.platform!),
    peak_a: answer.supply.peak_a ?? answer.supply.hold_a,
  };
}

/** Of joints that all have the speed. */
function hardestAlong(own: LoadAnswer['joints'], stream: string): Hardest {
  const hardest = own.reduce((a, b) => ((b.along?.use ?? Infinity) > (a.along?.use ?? Infinity) ? b : a));
  const at = hardest.along ? `${stream} at ${short(hardest.along.at_s, 2)} s` : stream;
  return { use: hardest.along?.use ?? Infinity, joint: hardest.name, where: at };
}

/** What the servos of the joints that are designed hold at the hardest place, N·m. */
export function axisHolds(rig: Rig, axes: Want['axes']): Record<string, number> {
  if (axes.length === 0) return {};
  const hardest = new HardestHold(rig);
  return Object.fromEntries(axes.map(({ joint, index }) => [joint, hardest.of(index)]));
}

/** Of the servos that are chosen; null: none is, or the price of one is not told. */
function priceOf({ servos }: Want, design: Design): number | null {
  const chosen = [...Array<number>(6).fill(design.servo), ...design.axes.map(({ servo }) => servo)];
  const prices = chosen.filter((i) => i >= 0).map((i) => servos[i]?.price ?? null);
  if (prices.length === 0) return null;
  return prices.reduce((sum, price) => (sum === null || price === null ? null : sum + price), 0);
}

function sizeOf({ clearance }: Want, platform: Platform): Judged['size_mm'] {
  return {
    base_radius: plateRadius_mm(platform, 'base'),
    plate_radius: plateRadius_mm(platform, 'moving'),
    height: heightOf(clearance, platform.home_z_mm),
  };
}

/** The evaluator looks at a stream where it is hardest, within 1 % of the worst tick. */
const TOLD = 0.01;

const percent = (share: number): string => `${short(100 * share, 0)} %`;

/** At home, and where each wanted travel ends; 0: it is not held there. */
function lowestHz(want: Want, rig: Rig): number {
  const hz = [HOME, ...endsOf(want)].map((pose) => {
    const there = postureOf(rig, pose);
    return (there && modesAt(rig, there.q, pose)?.modes[0]?.hz) ?? 0;
  });
  return Math.min(...hz);
}

function leftAlone({ joints }: LoadAnswer, driven: ReadonlySet<string>, firm: Want['firm']): Alone[] {
  return joints.flatMap(({ name: joint, leg, along, hold_use }): Alone[] => {
    if (leg || driven.has(joint)) return [];
    if (along?.impossible === 'speed') return [{ joint, what: 'speed', use: null }];
    if (along && !((along.use ?? 0) <= firm.use)) return [{ joint, what: 'move', use: along.use }];
    return (hold_use ?? 0) <= firm.hold_use ? [] : [{ joint, what: 'hold', use: hold_use }];
  });
}
