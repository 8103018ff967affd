/** Strokes whose pulses none of the classes that the legs may have can do: told before a search spends itself on them. */
import type { Say } from '../../rig/problem.ts';
import type { Joint, Rig } from '../../rig/rig.ts';
import { short } from '../../rig/words.ts';
import type { Want } from './want.ts';

/** Of a pulse that stands exactly at the end of its range, µs. */
const ROUNDED_US = 1e-6;

/** The pulses of one class: at centre_us it stands in the middle of its stroke. */
interface Pulses {
  readonly name: string;
  readonly centre_us: number;
  readonly us_per_mm: number;
  readonly range_us: readonly [number, number];
}

/** Of the classes that the legs may have; without any, of the one that they have. */
function pulsesOf({ servos, leg_servos }: Want, leg: Joint): readonly Pulses[] {
  const own = {
    name: leg.servo.name,
    centre_us: leg.centre_us,
    us_per_mm: leg.us_per_unit,
    range_us: leg.range_us,
  };
  const choices = leg_servos.flatMap((i) => servos[i] ?? []);
  return choices.length === 0 ? [own] : choices.map((choice) => ({ ...choice, us_per_mm: choice.us_per_shown }));
}

/** Lowest and highest pulse at the soft limits, which lie as far inside the stroke as those of the given rig. */
function endsOf(
  pulses: Pulses,
  { sense, lo, hi }: Joint,
  was: readonly [number, number],
  to: readonly [number, number],
) {
  const middle = (to[0] + to[1]) / 2;
  const ends = [to[0] + lo - was[0], to[1] + hi - was[1]].map(
    (at) => pulses.centre_us + sense * pulses.us_per_mm * (at - middle),
  );
  return [Math.min(...ends), Math.max(...ends)] as const;
}

/** All strokes: an error; some: a warning, since the search leaves them out. */
export function checkStrokes(want: Want, { joints, platform }: Rig, say: Say): void {
  const { stroke_mm } = want.stock;
  const was = platform?.stroke_mm;
  const legs = joints.filter(({ kind }) => kind === 'leg');
  const [leg] = legs;
  if (!stroke_mm || !was || !leg) return;
  const classes = pulsesOf(want, leg);
  const does = (pulses: Pulses, stroke: readonly [number, number]): boolean =>
    legs.every((one) => {
      const [lowest, highest] = endsOf(pulses, one, was, stroke);
      return lowest >= pulses.range_us[0] - ROUNDED_US && highest <= pulses.range_us[1] + ROUNDED_US;
    });
  const failing = stroke_mm.flatMap((stroke, i) => (classes.some((one) => does(one, stroke)) ? [] : [{ stroke, i }]));
  for (const { stroke, i } of failing) {
    const words = classes.map((one) => {
      const [lowest, highest] = endsOf(one, leg, was, stroke).map((us) => short(us, 0));
      const [from, to] = one.range_us.map((us) => short(us, 0));
      return `${one.name} has pulses of ${from ?? ''} to ${to ?? ''} µs (range_us), and with ${short(one.us_per_mm, 2)} µs/mm its soft limits would need ${lowest ?? ''} to ${highest ?? ''} µs`;
    });
    const message = `found [${stroke.map((mm) => short(mm, 2)).join(', ')}], which no class can do: ${words.join('; ')}`;
    if (failing.length < stroke_mm.length)
      say.warning(['stock', 'stroke_mm', i], `${message}. The search leaves it out`);
    else
      say.error(
        ['stock', 'stroke_mm', i],
        `${message}; allowed: a shorter stroke, or a class whose us_per_mm and range_us go so far`,
      );
  }
}
