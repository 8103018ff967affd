/** What tuning found, in a maker's words: the limits that change, what bounds each joint, and how the simulated prop moves with them. */
import { PLUS_MINUS_NOTE, UNKNOWN } from '../../rig/terms.ts';
import { effortOf } from '../../replay/words.ts';
import type { Figures, Seen, TuneAnswer, TunedJoint } from '../../tune/result.ts';
import { marginWords } from '../../tune/margins.ts';
import { headline, inAll } from '../../tune/verdict.ts';
import type { WobbleCure } from '../../tune/wobble.ts';
import { goneWords, lateWords } from '../../tune/words.ts';
import { type Io, coloursOf, widthOf } from '../io.ts';
import { fixed, labelled, table, type Row } from '../output.ts';

/** Names of files for the words at the end. */
export interface Names {
  readonly rig: string;
  /** Null: nothing was written. */
  readonly output: string | null;
  readonly report: string | null;
  /** Null: it was tuned for any motion. */
  readonly stream: string | null;
}

const change = (joint: TunedJoint, key: keyof Figures): string => {
  const [file, now] = [joint.file[key], joint.limits[key]];
  return file === now ? String(file) : `${String(file)} → ${String(now)}`;
};

/** An acceleration, and beneath it the speed at which it has fallen to zero, where it does. */
function fading(joint: TunedJoint, key: 'plus' | 'minus'): string {
  const accel = `${change(joint, key)} ${joint.unit}/s²`;
  const gone = goneWords(joint, key);
  return gone === null ? accel : `${accel}\n${gone}`;
}

function jointTable(joints: readonly TunedJoint[]): string {
  const seen = ({ before, after }: TunedJoint, unit: string, of: (seen: Seen) => string): string => {
    if (!before || !after) return UNKNOWN;
    const [was, is] = [of(before), of(after)];
    const withUnit = (text: string): string => (/\d$/.test(text) ? `${text} ${unit}` : text);
    return was === is ? withUnit(is) : `${/\d$/.test(is) ? was : withUnit(was)} → ${withUnit(is)}`;
  };
  const rows = joints.map((joint) => {
    const { name, unit, full_range_s: range } = joint;
    const times = [range.before, range.after].map((value) => value.toFixed(2));
    return [
      name,
      `${change(joint, 'speed')} ${unit}/s`,
      fading(joint, 'plus'),
      fading(joint, 'minus'),
      `${times[0] === times[1] ? times[0]! : times.join(' → ')} s`,
      seen(joint, 'ms', ({ saturated_ms }) => fixed(saturated_ms, saturated_ms > 0 && saturated_ms < 10 ? 1 : 0)),
      seen(joint, unit, ({ falls, peak_error }) => (falls ? 'falls' : fixed(peak_error, 2))),
    ];
  });
  const heads = ['speed', 'plus', 'minus', 'full range', `out of ${effortOf(joints)}`, 'behind'];
  return `${table([{ head: 'joint', align: 'left' }, ...heads.map((head) => ({ head }))], rows)}\n${PLUS_MINUS_NOTE}`;
}

function nextWords(answer: TuneAnswer, cure: WobbleCure | null, { rig, output, stream }: Names): string {
  if (output !== null)
    return answer.late.length > 0
      ? `posewright retime ${output} ${stream ?? 'STREAM.csv'} -o slower.csv, then posewright replay ${output} slower.csv --plant`
      : `posewright replay ${output} ${stream ?? 'STREAM.csv'} --plant plays it in a simulation of servos and loads`;
  const tuned = answer.joints.some(({ outcome }) => outcome === 'tuned');
  if (!tuned && !cure) return 'nothing to write';
  const what = [...(tuned ? ['these limits'] : []), ...(cure ? ['the wobble cure'] : [])].join(' and ');
  return `nothing written yet: posewright tune ${rig}${cure ? ` --${cure.from}${cure.from === 'computed' ? '' : ' …'}` : ''} -o tuned.yaml writes ${what} into a new file`;
}

function triedWords({ joints }: TuneAnswer, { stream }: Names): string {
  const others = joints.some(({ name }) => name !== 'legs')
    ? ['each joint from one soft limit to the other and back']
    : [];
  const legs = joints.some(({ name }) => name === 'legs') ? ['quick looks of the platform'] : [];
  return [...others, ...(stream === null ? legs : [stream])].join(', then ');
}

/** The whole text, with its last line end. */
export function tuneWords(answer: TuneAnswer, cure: WobbleCure | null, names: Names, io: Io): string {
  const colours = coloursOf(io, io.stdout);
  const bounds = answer.joints.map(({ name, bound_by }): Row => [name, bound_by]);
  const tried = triedWords(answer, names);
  const end: Row[] = [
    ...(cure?.words ?? []).map((text, k): Row => [k === 0 ? 'wobble' : '', text]),
    ...answer.advice.map((text, k): Row => [k === 0 ? 'what helps' : '', text]),
    ...lateWords(answer).map((text, k): Row => [k === 0 ? 'lags' : '', text]),
    [
      'tried with',
      `${tried}; before → after, through the controller and a simulation of servos and loads. Behind: how far the servo is from its own command, without its sag at rest, which no limit changes`,
    ],
    ...(answer.margins === null ? [] : [['margins', marginWords(answer.margins)] as const]),
    ['based on', answer.rests_on.join('; ')],
    ['overall', inAll(answer).words],
    ['what this was', 'simulation only: check the real margin on the prop, with warm servos and its full load'],
    ...(names.report === null ? [] : [['see also', `${names.report} shows it in pictures, before and after`] as const]),
    ['next', nextWords(answer, cure, names)],
  ];
  const label = Math.max(...[...bounds, ...end].map(([text]) => text.length)) + 2;
  const width = widthOf(io.stdout);
  const parts = [jointTable(answer.joints), labelled(bounds, width, label), labelled(end, width, label)];
  return `${colours.bold(headline(answer))}\n\n${parts.join('\n\n')}\n`;
}
