/** `wobble`: frequency and damping of the prop's own swing, counted in a slow-motion film. */
import { wobbleOfSwings } from '../physics/vibration/decrement.ts';
import type { FigureChange } from '../rig/edit.ts';
import {
  type Measurement,
  type Outcome,
  type Readings,
  type Refused,
  type Subject,
  refused,
  rounded,
} from './measurement.ts';

const SIZE = { tool: 'eye', least: 1e-6, most: 1e6 } as const;

export const WOBBLE: Measurement = {
  what: 'wobble',
  summary: "frequency and damping of the prop's own swing: a slow-motion film, counted",
  how: 'Film the prop in slow motion against a ruler, push it once, and let go. Count whole swings, there and back, from one peak to a later one on the same side; read both peaks from where it comes to rest.',
  source: 'logarithmic decrement (W. T. Thomson, Theory of Vibration with Applications, 2.7)',
  caution: 'Caution: push with a stick, not with a hand, and only a little; nobody stands within reach of the prop.',
  of: [[]],
  readings: [
    { name: 'swings', says: 'whole swings between the two peaks', tool: 'eye', least: 1, most: 10_000, whole: true },
    { name: 'seconds', says: 'time they took, in real time', tool: 'eye', least: 0.001, most: 10_000 },
    { name: 'first', says: 'size of the first peak, in any unit', ...SIZE },
    { name: 'last', says: 'size of the last peak, in the same unit', ...SIZE },
  ],
  work,
};

function work({ rig }: Subject, readings: Readings): Outcome | Refused {
  const of = (name: string): number => readings.must(name).value;
  const counted = { swings: of('swings'), first: of('first'), last: of('last'), seconds: of('seconds') };
  const wobble = wobbleOfSwings(counted);
  if ('problem' in wobble) return refused('--last', wobble.problem);
  const { hz, hz_within, damping, damping_within } = wobble;
  const figures = { hz: rounded(hz), damping: rounded(damping) };
  const known = rig.motion.wobble;
  const changes: FigureChange[] = [{ path: ['motion', 'wobble'], to: { cure: known.cure, ...figures } }];
  return {
    found: [
      { what: 'frequency', unit: 'Hz', value: hz, off: hz_within },
      { what: 'damping ratio', unit: '', value: damping, off: damping_within },
    ],
    words: [
      'a wobble is plain numbers in the rig file: where they come from and their tolerance are told here alone',
      'the cure stays as it is: posewright tune with the same --swings, --first, --last and --seconds chooses one',
    ],
    changes,
  };
}
