/** Fields that several groups of the rig file's schema share. */
import { LENGTH, POSITION, needed, number, span, text, vector, whole } from './fields.ts';
import { found } from './words.ts';

export const name = text('a name');
export const pin = whole('the number of a pin', { atLeast: 0, atMost: 254 });
export const length = needed('a length in mm', LENGTH);
export const pulse = number('a pulse width in µs', { atLeast: 100, atMost: 10_000 });
export const range = span('a pulse width in µs', { atLeast: 100, atMost: 10_000 });
export const legAngles = span('an angle in degrees', { atLeast: -180, atMost: 180 });
export const position = vector('in mm', POSITION);
export const direction = vector('a direction', { atLeast: -1000, atMost: 1000 }).refine(
  (along) => along.some((part) => Math.abs(part) >= 1e-6),
  {
    error: ({ input }) => `found ${found(input)}; allowed: a direction, such as [0, -1, 0]`,
  },
);
export const lengths = span('a length in mm', LENGTH);
