/** The options of `tune` that tell of a measured wobble: a recorded shake, or swings that somebody counted. */
import type { Command } from 'commander';
import { wobbleOfSwings } from '../../physics/vibration/decrement.ts';
import { wobbleOfShake } from '../../physics/vibration/shake.ts';
import { readShake } from '../../physics/vibration/shake-file.ts';
import type { Rig } from '../../rig/rig.ts';
import { readNumber } from '../../stream/decimal.ts';
import { computedWobble } from '../../tune/computed-wobble.ts';
import type { KnownWobble, WobbleCure } from '../../tune/wobble.ts';
import { type TriedCure, leftWords } from '../../tune/wobble-trial.ts';
import { readText, refusedInput } from '../files.ts';
import type { Io } from '../io.ts';
import { withUnit } from '../keys.ts';
import { type Problem, problemOf } from '../output.ts';
import { shownName } from '../stdin.ts';

export interface WobbleTexts {
  readonly shake?: string;
  readonly swings?: string;
  readonly first?: string;
  readonly last?: string;
  readonly seconds?: string;
  readonly computed?: true;
}

const COUNTED = ['swings', 'first', 'last', 'seconds'] as const;

export const WOBBLE_HELP = `
A prop that keeps swinging after a move wobbles at its natural frequency, and the controller can
move so as not to excite it. Push it once, let go, and record it until it is still: --shake takes
a phone's table of times and accelerations or angles. Or film it and count: with --swings 8
--first 12 --last 5 --seconds 2.6 it swung there and back 8 times in 2.6 s, 12 mm at first and 5
mm at last. Before there is a prop, --computed uses what "load" calculates.`;

export function addWobbleOptions(command: Command): Command {
  return command
    .option('--shake <shake.csv>', 'a recording of the wobble: motion.wobble is set to cure it')
    .option('--swings <n>', 'instead: number of whole swings you counted, there and back')
    .option('--first <size>', 'size of the first swing, in any unit')
    .option('--last <size>', 'size of the last swing, in the same unit')
    .option('--seconds <s>', 'time they took, in seconds')
    .option(
      '--computed',
      'instead: the lowest frequency calculated from weights and servo stiffness, before there is a prop',
    );
}

/** What is wrong with these options themselves, before any file is read. */
export function wobbleFaults(texts: WobbleTexts): Problem[] {
  const given = COUNTED.filter((key) => texts[key] !== undefined);
  const { shake, computed } = texts;
  const measured = given[0] ?? (shake === undefined ? undefined : 'shake');
  if (computed && measured !== undefined)
    return [problemOf(`--${measured}`, 'a wobble is measured or computed: give --computed alone')];
  if (shake !== undefined) {
    if (given.length > 0)
      return [problemOf(`--${given[0] ?? ''}`, 'a shake is recorded or counted: give --shake or --swings, not both')];
    const refusal = refusedInput(shake);
    return refusal === null ? [] : [problemOf(shake, refusal)];
  }
  if (given.length === 0) return [];
  const missing = COUNTED.filter((key) => texts[key] === undefined);
  if (missing.length > 0)
    return [
      problemOf(`--${missing[0] ?? ''}`, 'is missing: counted swings take --swings, --first, --last and --seconds'),
    ];
  return COUNTED.filter((key) => Number.isNaN(numberOf(texts[key]))).map((key) =>
    problemOf(`--${key}`, `found "${texts[key] ?? ''}"; allowed: a number above 0`),
  );
}

/** NaN: none. */
function numberOf(text = ''): number {
  const value = readNumber(text);
  return typeof value === 'number' ? value : NaN;
}

/** The wobble that these options tell of; null: they tell of none. */
export async function knownWobble(rig: Rig, texts: WobbleTexts, io: Io): Promise<KnownWobble | Problem | null> {
  if (texts.shake !== undefined) return recorded(texts.shake, io);
  if (texts.computed) {
    const wobble = computedWobble(rig);
    return 'problem' in wobble ? problemOf('--computed', wobble.problem) : wobble;
  }
  if (texts.swings === undefined) return null;
  const [swings = NaN, first = NaN, last = NaN, seconds = NaN] = COUNTED.map((key) => numberOf(texts[key]));
  const wobble = wobbleOfSwings({ swings, first, last, seconds });
  return 'problem' in wobble ? problemOf('--swings', wobble.problem) : { from: 'swings', swings, ...wobble };
}

async function recorded(path: string, io: Io): Promise<KnownWobble | Problem> {
  const name = shownName(path);
  const read = await readText(path, io);
  if ('fault' in read) return problemOf(name, read.fault);
  const reading = readShake(read.text);
  if ('problem' in reading) return problemOf(name, reading.problem);
  const shake = wobbleOfShake(reading.record);
  return 'problem' in shake ? problemOf(name, shake.problem) : { from: 'shake', ...shake };
}

/** The cure with what the simulated metal did, in words. */
export const wobbleSaid = ({ cure, tried }: TriedCure): WobbleCure => ({
  ...cure,
  words: [...cure.words, leftWords(tried)],
});

/** The same with what is left of the swing, each figure with its unit; `untried` says why there is none. */
export function wobbleJson(wobble: TriedCure): WobbleCure & { readonly tried: Readonly<Record<string, unknown>> } {
  const { tried } = wobble;
  if ('untried' in tried) return { ...wobbleSaid(wobble), tried };
  const { joint, unit, before, after, move, moves } = tried.trial;
  const swings = withUnit(unit, { before: ['position', before], after: ['position', after] });
  return { ...wobbleSaid(wobble), tried: { joint, ...swings, move, moves } };
}
