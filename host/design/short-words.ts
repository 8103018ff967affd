/** What a design gives of a wish that it falls short of, in words without a stop; where no servo is strong enough, which would be. */
import { short } from '../rig/words.ts';
import type { Design } from './design.ts';
import { candidateRig } from './evaluate/candidate-rig.ts';
import { TOO_FAST } from './evaluate/drives.ts';
import { AT } from './figures.ts';
import type { Subject } from './problem-of.ts';
import { tooLarge, whereWords } from './too-large.ts';
import { type Amount, type Wish, amountWords, usedAlong } from './wishes.ts';

/** A share of a servo beyond which the want file asks for more than the servo has. */
const WHOLE = 1;

export const insteadWords = ({ path, unit, asked }: Wish, amount: Amount): string =>
  `${path}: ${amountWords(amount, unit)} instead of ${amountWords(asked, unit)}`;

/** Null: a want file may ask for what the design gives. */
export function weakWords(subject: Subject, wish: Wish, design: Design, figures: Float64Array): string | null {
  if (wish.path === 'clearance.gap_mm') return bodiesWords(figures);
  const given = wish.given(figures, design);
  if (typeof given !== 'number' || !(given > WHOLE)) return null;
  if (wish.path === 'firm.use') return fastWords(subject, wish, figures);
  return wish.path === 'firm.hold_use' ? strongWords(subject, wish, design, figures) : null;
}

/** How much of the stream is out of reach of a design that falls short of it. */
export function followWords({ want, ask }: Subject, { path }: Wish, design: Design): string {
  const name = want.must.follow?.name ?? 'the stream';
  const rig = candidateRig(ask, design);
  const large = rig && ask.stream ? tooLarge(rig, ask.stream) : null;
  if (!large) return `${path}: along ${name} it is not held, or comes to hang loose`;
  const percent = Math.floor(100 * large.share);
  const most = percent > 0 ? `at ${String(percent)} % of their size all are in reach` : 'and so they are at any size';
  return `${path}: poses of ${name} are out of reach, ${most}: ${whereWords(large, design.plate_radius_mm)}`;
}

/** Null: they do not touch. */
function bodiesWords(figures: Float64Array): string | null {
  const room_mm = figures[AT.clearance]!;
  if (room_mm >= 0) return null;
  return `bodies of servos, cranks, rods or plates come ${short(-room_mm, 1)} mm into each other, at home or within what is asked`;
}

function fastWords({ want, prepared: { axisIndex } }: Subject, { path, asked }: Wish, figures: Float64Array): string {
  const use = usedAlong(want, axisIndex)(figures);
  if (use >= TOO_FAST)
    return `${path}: no servo class is fast enough for the stream: its speed without load is too low`;
  return `${path}: no servo class is strong enough for the stream: at its speed it takes ${short(100 * use, 0)} % of what the best of them can give, and ${short(100 * Number(asked), 0)} % is allowed`;
}

/** Who holds the largest share: a leg, or a joint that is designed; which stall torques there are for it, and which it has. */
function holder({ want, prepared: { axisIndex } }: Subject, design: Design, figures: Float64Array) {
  const { base, servos, leg_servos, axes } = want;
  const given = (joint: number): number => base.joints[joint]?.servo?.stall ?? NaN;
  const stalls = (choices: readonly number[], joint: number): number[] =>
    choices.length > 0 ? choices.map((i) => servos[i]?.servo.stall ?? NaN) : [given(joint)];
  const legs = {
    name: 'a leg',
    use: figures[AT.hold_use]!,
    own: servos[design.servo]?.servo.stall ?? given(0),
    all: stalls(leg_servos, 0),
    unit: base.platform?.drive === 'linear' ? 'N' : 'N·m',
  };
  return axes.reduce((most, { joint, index, servos: choices }, k) => {
    const use = figures[AT.axis_hold_use + axisIndex.indexOf(index)] ?? 0;
    if (!axisIndex.includes(index) || !(use > most.use)) return most;
    const own = servos[design.axes[k]?.servo ?? -1]?.servo.stall ?? given(index);
    return { name: joint, use, own, all: stalls(choices, index), unit: 'N·m' };
  }, legs);
}

function strongWords(subject: Subject, { path, asked }: Wish, design: Design, figures: Float64Array): string | null {
  const { name, use, own, all, unit } = holder(subject, design, figures);
  const [needed, strongest] = [(own * use) / Number(asked), Math.max(...all)];
  if (!(needed > strongest)) return null;
  const digits = unit === 'N' ? 0 : 2;
  return `${path}: no servo class is strong enough: ${name} needs one of ${short(needed, digits)} ${unit} to hold with ${short(100 * Number(asked), 0)} % of it, and the strongest has ${short(strongest, digits)} ${unit}`;
}
