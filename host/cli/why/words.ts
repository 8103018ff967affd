/** What `why` prints: the four questions, then the causes of what is wrong. Without a symptom asked for, the first cause only. */
import type { Cause, Symptom, Why } from '../../why/result.ts';
import { onMetalWords, trialWords } from '../../why/words.ts';
import { type Io, coloursOf, widthOf } from '../io.ts';
import { labelled, type Row } from '../output.ts';
import { toldIn } from '../told.ts';

export interface Names {
  readonly stream: string | null;
  readonly report: string | null;
}

/** Causes shown when none was asked for: the front door is short. */
const SHORT = 1;
const RESTS_SHOWN = 2;

const causeRows = (cause: Cause, number: number): Row[] => [
  [`${String(number)}. ${cause.likely}`, `${cause.title}: ${cause.because}`],
  ['   test', cause.test],
  ['   fix', cause.cure],
  ['   cost', cause.cost],
  ...(cause.before && cause.after
    ? ([
        [
          '   tried',
          `before: ${trialWords(cause, cause.before)}; after: ${trialWords(cause, cause.after)}; ${onMetalWords(cause)}`,
        ],
      ] as const)
    : []),
];

export function whyWords(name: string, why: Why, names: Names, io: Io, all = false): string {
  const colours = coloursOf(io, io.stdout);
  const width = widthOf(io.stdout);
  const answers = why.answers.map(({ question, verdict, because }): Row => [
    question,
    `${toldIn(verdict, io)}: ${because}`,
  ]);
  const shown = all ? why.causes : why.causes.slice(0, SHORT);
  const rest = why.causes.slice(shown.length);
  const causes = shown.flatMap((cause, i) => causeRows(cause, i + 1));
  const more = rest.length === 0 || why.symptom === null ? [] : [alsoRow(rest, why.symptom)];
  const where =
    names.report === null
      ? names.stream === null
        ? 'add a stream, and it is played in a simulation of servos and loads'
        : 'add --report FILE.html for a picture of the worst moment, before and after the fix'
      : `${names.report} shows the worst moment, before and after the fix`;
  const end: Row[] = [
    ['based on', rests(why)],
    ...(why.measure_first === null ? [] : [['measure first', why.measure_first] as const]),
    ['see also', where],
  ];
  const label = Math.max(...[...answers, ...end].map(([text]) => text.length)) + 2;
  const heading = why.symptom === null ? '' : `${colours.bold(`Why ${SYMPTOM_WORDS[why.symptom]}`)}\n`;
  const body = causes.length + more.length === 0 ? '' : `${heading}${labelled([...causes, ...more], width, label)}\n\n`;
  return `${colours.bold(`${name}${names.stream === null ? '' : ` plays ${names.stream}`}`)}\n\n${labelled(answers, width, label)}\n\n${body}${labelled(end, width, label)}\n`;
}

/** The causes that are not told here, those that are possible by name. */
function alsoRow(rest: readonly Cause[], symptom: Symptom): Row {
  const possible = rest.filter(({ likely }) => likely !== 'unlikely').map(({ title, likely }) => `${likely}: ${title}`);
  const others = rest.length - possible.length;
  const counted = others === 0 ? [] : [`${String(others)} less likely`];
  return ['also', `${[...possible, ...counted].join('; ')} (--symptom ${symptom} lists them all)`];
}

/** The model's limits; the rest of what it takes for granted is in the report and the document. */
function rests({ rests_on }: Why): string {
  const more = rests_on.length - RESTS_SHOWN;
  return `${rests_on.slice(0, RESTS_SHOWN).join('; ')}${more > 0 ? `; ${String(more)} more in --json and the report` : ''}`;
}

const SYMPTOM_WORDS = {
  jerk: 'it jerks',
  wobble: 'it wobbles',
  buzz: 'it buzzes',
  slap: 'it slaps',
  short: 'it does not get there',
  hot: 'a servo is hot',
  twitch: 'it twitches',
} as const;
