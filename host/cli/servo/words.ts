/** What `servo` prints: a line or two for each joint, and on request a table of every class. */
import { percent, sizingWords } from '../../load/words.ts';
import type { Judged } from '../../load/sizing/judge.ts';
import type { ClassVerdict, Group, Offer, Remedy, SizingAnswer } from '../../load/sizing/result.ts';
import { toDeg } from '../../rig/rig.ts';
import { UNKNOWN } from '../../rig/terms.ts';
import { either, short, together } from '../../rig/words.ts';
import { type Io, coloursOf, widthOf } from '../io.ts';
import { type Row, labelled, table } from '../output.ts';

const offerWords = ({ servo, price }: Offer): string =>
  price === null ? servo.name : `${servo.name} (price ${short(price, 2)})`;

/** More than this nobody asks. */
const MUCH = 9.995;

/** A margin that rounds to nothing is none. */
const NOTHING = 0.005;

const marginWords = (margin: number): string => (margin > MUCH ? 'over 999 %' : percent(margin));
const isNone = (margin: number | null): boolean => margin !== null && margin < NOTHING;

const figures = ({ use, heat, margin }: Judged): string => {
  const more = margin === null ? '' : isNone(margin) ? ', no margin' : `, margin ${marginWords(margin)}`;
  return `use ${use === null ? UNKNOWN : percent(use)}, heat ${heat === null ? UNKNOWN : percent(heat)}${more}`;
};

/** Why a class is not enough. */
function shortWords({ short: of, use, heat, at, offer }: ClassVerdict, { unit }: Group): string {
  const name = offer.servo.name;
  const noun = unit === 'deg' ? 'torque' : 'force';
  const rate = at?.kind === 'moving' ? Math.abs(unit === 'deg' ? toDeg(at.rate) : at.rate) : 0;
  const when = at?.kind === 'moving' ? ` (${at.t_s.toFixed(2)} s)` : '';
  if (of === 'speed') return `${name} is too slow: ${rate.toFixed(0)} ${unit}/s is asked of the joint${when}`;
  if (of === 'heat') return `${name} would get hot: ${percent(heat ?? 0)} of what it may give for long`;
  const limit = `; its peak_use is ${percent(offer.servo.peak_use)}`;
  return at?.kind === 'moving'
    ? `${name} would need ${percent(use ?? 0)} of the ${noun} it has at ${rate.toFixed(0)} ${unit}/s${when}${limit}`
    : `${name} would need ${percent(use ?? 0)} of its ${noun} to hold at the hardest pose${limit}`;
}

function remedyWords(remedy: Remedy): string {
  const { judged } = remedy;
  switch (remedy.kind) {
    case 'gear':
      return `a gear of ${short(remedy.ratio, 1)}:1 instead of ${short(remedy.before, 2)}:1 (${figures(judged)})`;
    case 'counterweight': {
      const at = remedy.at_mm
        ? `at_mm [${remedy.at_mm.map((value) => short(value, 0)).join(', ')}] on the joint`
        : 'opposite the load';
      return `a compact counterweight of ${short(remedy.kg, 3)} kg at ${short(remedy.arm_mm)} mm from the axis, ${at} (${figures(judged)})`;
    }
    case 'spring':
      return `a torsion spring of ${Number(remedy.nm_per_deg.toPrecision(2)).toString()} N·m/deg about the axis, free at ${short(remedy.free_deg, 0)} deg (${figures(judged)})`;
  }
}

/** A class that does although it is smaller than the one that is there. */
function smallerWords(group: Group): string {
  const { least } = group;
  const own = ownOf(group);
  if (!least || !own || least === own || own.enough !== true) return '';
  return `; ${offerWords(least.offer)} would do as well: ${figures(least)}`;
}

/** Without a stream what moves is not counted. */
const enoughWords = (stream: string | null): string => (stream === null ? 'is enough to hold' : 'is enough');

/** What was tried in vain for the class that it has, and how much slower it would do. */
function lastWords({ none_alone: none, slower, now }: Group): string[] {
  const found = slower?.found;
  const tempo =
    found && `or ${now} with the whole stream in ${short(found.times, 2)} times its time (${shareWords(found.judged)})`;
  const later = tempo ? [`${tempo}: "posewright tune", then "retime", stretch only what needs it`] : [];
  const neither =
    slower && !found ? `; played slower, up to ${short(slower.up_to)} times its time, ${now} would not do either` : '';
  return [...(none ? [`with ${now} as it is: ${noneWordsOf(none)}${neither}`] : []), ...later];
}

function noneWordsOf({ gear }: NonNullable<Group['none_alone']>): string {
  const nearest = gear ? `nearest: ${short(gear.ratio, 1)}:1, ${shareWords(gear.judged)}` : 'too slow with each';
  return `no gear does it alone (${nearest}), nor a counterweight or spring`;
}

/** What there is too much of. */
const shareWords = ({ use, heat, short: of }: Judged): string =>
  of === 'heat' ? `heat ${percent(heat ?? 0)}` : `use ${percent(use ?? 0)}`;

function sentences(group: Group, stream: string | null): string[] {
  const { least, now, needs, or, weighed } = group;
  if (!weighed) return [`${UNKNOWN}: what it carries is not in the rig file`];
  const own = ownOf(group);
  if (!own || own.enough === null) return [`${UNKNOWN}: a figure of ${now} is missing in the rig file`, ...orWords(or)];
  const worst = group.joints.length > 1 ? `; ${own.worst} works hardest` : '';
  if (own.enough)
    return [
      `${offerWords(own.offer)} ${enoughWords(stream)}: ${figures(own)}${worst}${smallerWords(group)}`,
      ...orWords(or),
    ];
  const wouldDo = least ? `Would do: ${offerWords(least.offer)}, ${figures(least)}` : noneWords(group, needs);
  return [`${shortWords(own, group)}. ${wouldDo}`, ...orWords(or), ...lastWords(group)];
}

function noneWords({ classes, unit }: Group, needs: number | null): string {
  const noun = unit === 'deg' ? 'a stall torque' : 'a force';
  const names = classes.map(({ offer }) => offer.servo.name);
  const none = `None would do (${either(names)})`;
  return needs === null
    ? `${none}, nor would a stronger one of the same speed`
    : `${none}: it takes ${noun} of ${sizingWords(needs, unit)} or more, at the same no-load speed`;
}

/** All are of one class; those without a margin come last. */
function orWords(or: readonly Remedy[]): string[] {
  const [first] = or;
  if (!first) return [];
  const rank = ({ judged }: Remedy): number => (isNone(judged.margin) ? 1 : 0);
  const best = [...or].sort((a, b) => rank(a) - rank(b));
  return [`or ${offerWords(first.offer)} with ${either(best.map(remedyWords))}`];
}

const ownOf = ({ classes, now }: Group): ClassVerdict | undefined =>
  classes.find(({ offer }) => offer.servo.name === now);

/** Joints whose servos do share a row where the same is to be said of them. */
function rowsOf(groups: readonly Group[], stream: string | null): Row[] {
  const isPlain = (group: Group): boolean =>
    group.joints.length === 1 && group.or.length === 0 && ownOf(group)?.enough === true;
  const order = (group: Group): number => (ownOf(group)?.enough === false ? 0 : 1);
  const rows = groups
    .filter((group) => !isPlain(group))
    .sort((a, b) => order(a) - order(b))
    .flatMap((group) => sentences(group, stream).map((words, n): Row => [n === 0 ? group.name : '', words]));
  return [...rows, ...plainRows(groups.filter(isPlain), stream)];
}

/** One row for those that have the same class, and would do with the same. */
function plainRows(groups: readonly Group[], stream: string | null): Row[] {
  const kindOf = ({ now, least }: Group): string => `${now}\n${least?.offer.servo.name ?? ''}`;
  return [...new Set(groups.map(kindOf))].map((kind): Row => {
    const same = groups.filter((group) => kindOf(group) === kind);
    const own = same.flatMap((group) => ownOf(group) ?? []);
    const least = same.flatMap((group) => group.least ?? []);
    const [first, smaller] = [own[0]!, least[0]!];
    const other =
      smaller.offer === first.offer ? '' : `; ${offerWords(smaller.offer)} would do as well: ${upTo(least)}`;
    return [
      together(same.map(({ name }) => name)),
      `${offerWords(first.offer)} ${enoughWords(stream)}: ${upTo(own)}${other}`,
    ];
  });
}

/** Of one: its figures; of several: the most that any has. */
function upTo(all: readonly Judged[]): string {
  const [first] = all;
  if (first && all.length === 1) return figures(first);
  const most = (of: (judged: Judged) => number | null): string => percent(Math.max(...all.map((one) => of(one) ?? 0)));
  return `use up to ${most(({ use }) => use)}, heat up to ${most(({ heat }) => heat)}`;
}

function allTable(groups: readonly Group[]): string {
  const rows = groups.flatMap((group) =>
    group.classes.map((one, n) => [
      n === 0 ? group.name : '',
      `${one.offer.servo.name}${one.offer.servo.name === group.now ? ' (now)' : ''}`,
      one.offer.price === null ? '' : short(one.offer.price, 2),
      one.offer.servo.stall === null ? UNKNOWN : sizingWords(one.offer.servo.stall, group.unit),
      one.short === 'speed' ? 'too slow' : one.use === null ? UNKNOWN : percent(one.use),
      one.heat === null ? UNKNOWN : percent(one.heat),
      one.margin === null ? '' : marginWords(one.margin),
      one.enough === null ? UNKNOWN : one.enough ? 'yes' : 'no',
    ]),
  );
  const left = ['joint', 'class'].map((head) => ({ head, align: 'left' as const }));
  return table([...left, ...['price', 'stall', 'use', 'heat', 'margin', 'enough'].map((head) => ({ head }))], rows);
}

/** Files as they were named. */
interface Given {
  readonly rig: string;
  readonly classes: string | undefined;
  readonly all: boolean;
}

/** Classes of the other kind, which no joint can have. */
function misfitRows(misfits: readonly Offer[]): Row[] {
  const kinds = (['linear', 'rotary'] as const).flatMap((drive): string[] => {
    const names = misfits.filter(({ servo }) => servo.drive === drive).map(({ servo }) => servo.name);
    if (names.length === 0) return [];
    const is = names.length === 1 ? 'is' : 'are';
    return [
      drive === 'linear'
        ? `${together(names)} ${is} linear (force_n), and every joint of this rig has a servo that turns`
        : `${together(names)} ${is} for joints that turn (stall_torque_nm), and every joint of this rig is driven by a linear servo`,
    ];
  });
  return kinds.length === 0 ? [] : [['fits none', kinds.join('; ')]];
}

/** What this answer leaves out, and how to ask for it. */
function nextRow(rig: string, stream: string | null, classes: string | undefined): Row[] {
  if (stream !== null) return [];
  const [option, more] = classes === undefined ? [' --classes shop.yaml', ', and other servos'] : ['', ''];
  return [['next', `"posewright servo ${rig} --stream show.csv${option}" counts moving too${more}`]];
}

/** The whole text, with its last line end. */
export function servoWords(answer: SizingAnswer, { rig, classes, all }: Given, io: Io): string {
  const { stream, groups, out_of_reach, unweighed, misfits } = answer;
  const along = stream === null ? 'holding' : `along ${stream}`;
  const title = coloursOf(io, io.stdout).bold(`${answer.rig}: which servo would do, ${along}`);
  const loose = groups.filter((group) => group.loose).map(({ name }) => name);
  const notes: Row[] = [
    ...(unweighed.length > 0 ? [[UNKNOWN, unweighed.join('; ')] as const] : []),
    ...((out_of_reach ?? 0) > 0
      ? [['not counted', `${percent(out_of_reach ?? 0)} of the stream is out of reach`] as const]
      : []),
    ...(loose.length > 0
      ? [
          [
            'beware',
            'within the soft limits the plate comes to hang loose: no servo holds it there ("posewright reach")',
          ] as const,
        ]
      : []),
    ...misfitRows(misfits),
    ...nextRow(rig, stream, classes),
  ];
  const rows = labelled([...rowsOf(groups, stream), ...notes], widthOf(io.stdout));
  return `${title}\n\n${rows}\n${all ? `\n${allTable(groups)}\n` : ''}`;
}
