/** Of all changes of dimensions those that give a way the most travel, and what each of them costs elsewhere. */
import type { AxisName, AxisUnit } from './axes.ts';
import type { AxisTravel, Change, ReachAnswer } from './result.ts';
import { amount, stopWords, together, wayWords } from './words.ts';

type Way = 'minus' | 'plus';

/** Travels both ways that differ by less are one figure, mm or deg: what reach is found to. */
const ALIKE = 0.01;

/** A change and what it makes of one way. */
interface Gain {
  readonly change: Change;
  readonly to: number;
}

/** Changes and losses named in a sentence (our choice: with more it is a list, and --json has that). */
const SHOWN = 2;
/** Less is not worth a new part, mm or deg (our choice: half of the last digit that travel is shown with). */
const WORTH = 0.05;

/** The changes that lengthen a way most, each dimension once, largest gain first. */
export function strongest(travel: AxisTravel, way: Way, changes: readonly Change[]): Gain[] {
  const gains = changes.flatMap((change): Gain[] => {
    const to = change.axes?.find(({ axis }) => axis === travel.axis)?.[way];
    return to === undefined || change.but !== null || Math.abs(to) < Math.abs(travel[way]) + WORTH
      ? []
      : [{ change, to }];
  });
  const sorted = gains.sort((a, b) => Math.abs(b.to) - Math.abs(a.to));
  return sorted.filter((gain, i) => sorted.findIndex(({ change }) => change.path === gain.change.path) === i);
}

const figure = (value: number): string => String(Number(value.toFixed(3)));
const value = (to: number, unit: Change['unit']): string => `${figure(to)} ${unit}`;

/** `crank 22 → 24 mm`; limits are said as what is added. */
export function changeWords({ path, words, unit, from, to }: Change): string {
  if (path.includes('.limit_'))
    return `soft limits ${value(Math.abs(to - from), unit)} ${to > from ? 'wider' : 'narrower'}`;
  return `${words} ${figure(from)} → ${value(to, unit)}`;
}

const gives = (gains: readonly Gain[], unit: AxisUnit): string =>
  gains.length === 0
    ? 'no single step here changes that'
    : gains
        .slice(0, SHOWN)
        .map(({ change, to }) => `${changeWords(change)} gives ${amount(Math.abs(to), unit, 1)}`)
        .join(', ');

const same = (a: readonly Gain[], b: readonly Gain[]): boolean =>
  a.slice(0, SHOWN).every(({ change, to }, i) => change === b[i]?.change && Math.abs(to + b[i].to) < ALIKE);

/** One sentence for each way of an axis, or one for both where they are alike. */
export function axisSentences(travel: AxisTravel, changes: readonly Change[]): string[] {
  const { axis, unit, minus, plus } = travel;
  const sentence = (words: string, way: Way): string => {
    const stop = travel[`${way}_stop`];
    if (!stop) return `${axis} ${words}: nothing stops it within ${amount(Math.abs(travel[way]), unit, 0)}`;
    const at = amount(Math.abs(travel[way]), unit, 1);
    return `${axis} ${words} stops at ${at}, at ${stopWords(stop)}; ${gives(strongest(travel, way, changes), unit)}`;
  };
  const [low, high] = [strongest(travel, 'minus', changes), strongest(travel, 'plus', changes)];
  const alike =
    Math.abs(minus + plus) < ALIKE &&
    travel.minus_stop?.cause === travel.plus_stop?.cause &&
    low.length === high.length &&
    same(low, high);
  if (alike) return [sentence('either way', 'plus')];
  return (['minus', 'plus'] as const).map((way) => sentence(wayWords(axis, way), way));
}

/** What a change takes away, most first, as shares of what was there; mm or degrees of the whole way, minus to plus. */
function losses({ axes }: Change, now: readonly AxisTravel[]): { axis: AxisName; unit: AxisUnit; by: number }[] {
  const all = (axes ?? []).flatMap((then) => {
    const before = now.find(({ axis }) => axis === then.axis);
    if (!before) return [];
    const [was, is] = [before.plus - before.minus, then.plus - then.minus];
    return is < was - WORTH ? [{ axis: then.axis, unit: then.unit, by: was - is, share: (was - is) / was }] : [];
  });
  return all.sort((a, b) => b.share - a.share);
}

/** Condition that grows by more than this is a plate held less firmly (our choice: less is within what parts are cut to). */
const LESS_FIRM = 1.1;

function otherCosts({ path, from, to, condition }: Change, before: number | null): string[] {
  const torque = path.endsWith('.crank_mm') && to > from ? Math.round((to / from - 1) * 100) : 0;
  const softer = condition !== null && before !== null && condition > before * LESS_FIRM;
  return [
    ...(torque > 0 ? [`about ${String(torque)} % more torque at the servos for the same force`] : []),
    ...(softer
      ? [`the plate is held less firmly (condition number ${before.toFixed(1)} to ${condition.toFixed(1)})`]
      : []),
  ];
}

/** What the changes named by `axisSentences` cost elsewhere, a sentence each. */
export function costSentences({ axes: now, condition, changes }: ReachAnswer): string[] {
  const all = changes ?? [];
  const named = new Set(
    now
      .flatMap((travel) => (['minus', 'plus'] as const).flatMap((way) => strongest(travel, way, all).slice(0, SHOWN)))
      .map(({ change }) => change),
  );
  return [...named].map((change) => {
    const lost = losses(change, now).slice(0, SHOWN);
    const words = lost.map(({ axis, unit, by }) => `${amount(by, unit, 1)} of ${axis}`);
    const travel = lost.length === 0 ? 'no travel lost elsewhere' : `${together(words)} lost`;
    return `${changeWords(change)}: ${[travel, ...otherCosts(change, condition)].join('; ')}`;
  });
}
