/** Words that a replay and what is built on it share: several joints by name, and what their servos give. */
import { LEGS } from '../rig/shape.ts';
import { together } from '../rig/words.ts';
import type { Answer, Breach, When } from './result.ts';

/** `leg1 to leg6 and nod`: joints by name, all six legs as one. */
export function namesWords(names: readonly string[]): string {
  if (!LEGS.every((leg) => names.includes(leg))) return together(names);
  const others = names.filter((name) => !(LEGS as readonly string[]).includes(name));
  return together([`${LEGS[0]} to ${LEGS[5]}`, ...others]);
}

/** `at 2.50 s`; before the stream, which has no time there, since power-up. */
export const whenWords = ({ at_s, up_s }: When): string =>
  at_s === null ? `before the stream, ${up_s.toFixed(2)} s after power-up` : `at ${at_s.toFixed(2)} s`;

/** When a breach was, `at 2.50 s`; '': its message says it, or it is of no one moment. */
export const breachTime = ({ what, at_s }: Pick<Breach, 'what' | 'at_s'>): string =>
  at_s > 0 || (what !== 'tripped' && what !== 'silence') ? `at ${at_s.toFixed(2)} s` : '';

/** Columns that shake (`StreamScan.shaking`), in a clause. */
export function shakingWords(columns: readonly string[]): string {
  const names = columns.map((column) => column.replace(/_(mm|deg)$/, ''));
  return `${together(names)} ${names.length === 1 ? 'shakes' : 'shake'} from frame to frame: likely noise of the recording`;
}

/** What servos give: torque where joints turn, force where they slide (mm). */
export function effortOf(joints: readonly { readonly unit: 'deg' | 'mm' }[]): string {
  const slide = joints.filter(({ unit }) => unit === 'mm').length;
  if (slide === 0) return 'torque';
  return slide === joints.length ? 'force' : 'torque or force';
}

/** Which joints the metal was simulated of, and of which not, since a figure is unknown. Both empty: it was not asked. */
export function metalNames({ joints, metal }: Pick<Answer, 'joints' | 'metal'>): {
  readonly simulated: readonly string[];
  readonly exact: readonly string[];
} {
  if (!metal) return { simulated: [], exact: [] };
  const simulated = joints.map(({ name }) => name).filter((name) => !metal.taken_exact.includes(name));
  return { simulated, exact: metal.taken_exact };
}

/** `leg1 to leg6 and nod are taken to follow exactly, since …`; null: the metal of every joint was simulated, or it was not asked. */
export function exactWords(answer: Pick<Answer, 'joints' | 'metal'>): string | null {
  const { simulated, exact } = metalNames(answer);
  if (exact.length === 0) return null;
  const who = simulated.length === 0 && exact.length > 1 ? 'all joints' : namesWords(exact);
  return `${who} ${exact.length === 1 ? 'is' : 'are'} taken to follow exactly, since servo torque, speed or inertia is unknown`;
}
