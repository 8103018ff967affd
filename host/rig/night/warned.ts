/** Who is warned before a prop moves, and who can end a show or let the night go on, without a computer: what of that a rig file lacks. */
import { freePin } from '../boards.ts';
import type { Say } from '../problem.ts';
import type { Rig } from '../rig.ts';
import { type Night, boardStarts, inputPins, outputPins } from './night.ts';
import type { NightFile } from './schema.ts';
import { together } from '../words.ts';

export function warnedOf(file: NightFile, night: Night, rig: Rig, say: Say): void {
  const pin = pinsFor(night, rig);
  const starts = boardStarts(night);
  const lacksWarning = file.warn_pin === undefined;
  if (starts.length === 0) {
    if (lacksWarning) say.warning(['night', 'warn_pin'], `is not given: ${unwarned(night)}. Give warn_pin: ${pin()}`);
    return;
  }
  const alone = `shows start with nobody at a computer (${together([...new Set(starts.map(({ path }) => keyOf(path)))])})`;
  if (lacksWarning)
    say.error(
      ['night', 'warn_pin'],
      `is not given, though ${alone}: ${unwarned(night)}. Give warn_pin: ${pin()}, for a light and a sound that only warn`,
    );
  if (night.button_pin === null)
    say.error(
      ['night', 'button_pin'],
      `is not given, though ${alone}: nobody there could end a show gently, or let the night go on after a stop. Give button_pin: ${pin()}, for a button to ground`,
    );
  if (night.light_pin === null)
    say.warning(
      ['night', 'light_pin'],
      `is not given, though ${alone}: nothing tells the attendant why the prop stands still, and what to do. Give light_pin: ${pin()}`,
    );
}

const keyOf = (path: readonly string[]): string => path.slice(1).join('.');

/** The light that tells the attendant what to do is lit while it warns. */
const unwarned = ({ light_pin }: Night): string =>
  light_pin === null
    ? 'nothing warns people before the prop moves'
    : `only the attendant’s light, on pin ${String(light_pin)}, warns people before the prop moves, and without a sound`;

/** Pins that are free, one after the other, as far as the board has them. */
function pinsFor(night: Night, { joints, board }: Rig): () => string {
  const used = [...joints, ...inputPins(night), ...outputPins(night), ...night.analog].map(({ pin }) => pin);
  const taken: (number | null | undefined)[] = [...used, board?.stop?.pin, board?.power_pin];
  return () => {
    const pin = board ? freePin(board.kind, taken) : undefined;
    taken.push(pin);
    return pin === undefined ? 'N' : String(pin);
  };
}
