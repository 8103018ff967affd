/** What the take takes of the servos over time: strips of one joint, or of the legs together, and when each works hardest. */
import { percent } from '../../../load/words.ts';
import type { JointLoad } from '../../../load/result.ts';

export interface Strip {
  /** The joint's, or the legs'. */
  readonly name: string;
  /** Largest share of its torque in each of equal lengths of the take; null: unknown, Infinity: too fast. */
  readonly uses: readonly (number | null)[];
  readonly most: number | null;
  readonly at_s: number;
  readonly continuous_use: number;
  /** On average; null: unknown. */
  readonly mean: number | null;
  readonly words: string;
}

type Moving = JointLoad & { readonly along: NonNullable<JointLoad['along']> };

/** The legs as one strip, then the other joints. */
export function stripsOf(joints: readonly JointLoad[]): Strip[] {
  const moving = joints.filter((joint): joint is Moving => joint.along !== null);
  const legs = moving.filter(({ leg }) => leg);
  const others = moving.filter(({ leg }) => !leg).map((joint) => stripOf(joint.name, [joint]));
  return legs.length > 0 ? [stripOf('legs', legs), ...others] : others;
}

const useOf = ({ along }: Moving): number => (along.impossible ? Infinity : (along.use ?? -1));

function stripOf(name: string, joints: readonly Moving[]): Strip {
  const hardest = joints.reduce((most, joint) => (useOf(joint) > useOf(most) ? joint : most));
  const uses = hardest.along.use_over_time.map((_, cut) =>
    joints.reduce<number | null>((most, { along }) => {
      const use = along.too_fast[cut] ? Infinity : (along.use_over_time[cut] ?? null);
      return use === null || (most !== null && most >= use) ? most : use;
    }, null),
  );
  const means = joints.flatMap(({ along }) => (along.rms_use === null ? [] : [along.rms_use]));
  const use = useOf(hardest);
  const strip = {
    name,
    uses,
    most: use < 0 ? null : use,
    at_s: hardest.along.at_s,
    continuous_use: hardest.continuous_use,
    mean: means.length > 0 ? Math.max(...means) : null,
  };
  return { ...strip, words: wordsOf(strip, hardest, joints.length > 1) };
}

function wordsOf(
  { most, at_s, mean, continuous_use }: Omit<Strip, 'words'>,
  { name }: Moving,
  several: boolean,
): string {
  if (most === null) return 'what its servo can give is unknown';
  const who = several ? `, ${name}` : '';
  const hardest =
    most === Infinity
      ? `faster than its servo can go at ${at_s.toFixed(2)} s${who}`
      : `at most ${percent(most)} of its torque at ${at_s.toFixed(2)} s${who}`;
  if (mean === null) return hardest;
  const hot = mean > continuous_use ? ': it gets too hot' : '';
  return `${hardest}; on average ${percent(mean)}, for long at most ${percent(continuous_use)}${hot}`;
}

/** Beyond this share a strip is cut off. */
export const topOf = (strips: readonly Strip[]): number =>
  Math.min(2.5, Math.max(1.15, ...strips.map(({ most }) => (most === Infinity ? 2.5 : 1.06 * (most ?? 0)))));
