/** Where what comes out is not what was asked: filled between the two curves, hatched by cause, with a word that says more when pressed. */
import { computed, signal } from '@preact/signals';
import type { JSX } from 'preact';
import { valueAt } from '../../take/curve.ts';
import { curveOf } from '../../take/take.ts';
import { columns, delivered, gaps, take } from '../state.ts';
import { columnsOfGap } from '../verdict/columns.ts';
import { FixOffers } from '../verdict/fix-offers.tsx';
import type { Gap, GapCause } from '../verdict/gaps.ts';
import { type Scale, yOf } from './draw.ts';
import { WIDE, column, goTo, lane, span, xOf } from './view.ts';

/** The lines of a hatching, on a square of 6: told apart by their way. */
const HATCHES: Readonly<Record<GapCause, string>> = { reach: 'M3 0V6', limit: 'M0 3H6', torque: 'M0 6L6 0' };
/** A gap that hardly opens is shown so high all the same, px of either side. */
const LEAST = 3;

/** The gap whose sentence is open, by its words and its beginning. */
const open = signal<string | null>(null);
const keyOf = ({ words, from_s }: Gap): string => `${words} ${String(from_s)}`;

const isIn = (gap: Gap, names: readonly string[]): boolean =>
  columnsOfGap(gap, columns.value).some((name) => names.includes(name));
const isSeen = ({ from_s, to_s }: Gap): boolean => from_s < span.value.to_s && to_s > span.value.from_s;

export const Hatches = (): JSX.Element => (
  <defs>
    {Object.entries(HATCHES).map(([cause, lines]) => (
      <pattern key={cause} id={`gap-${cause}`} width="6" height="6" patternUnits="userSpaceOnUse">
        <path class="hatch" d={lines} />
      </pattern>
    ))}
  </defs>
);

/** Between the open column's two curves. */
export function GapFills({ scale }: { readonly scale: Scale }): JSX.Element {
  const name = column.value;
  const done = name === null ? undefined : delivered.value?.get(name);
  const keys = name === null ? null : curveOf(take.value, name)?.keys;
  if (!done || !keys) return <g />;
  return (
    <g>
      {gaps.value
        .filter((gap) => isSeen(gap) && isIn(gap, [name!]))
        .map((gap) => (
          <path key={keyOf(gap)} fill={`url(#gap-${gap.cause})`} d={between(gap, keys, done, scale)} />
        ))}
    </g>
  );
}

function between({ from_s, to_s }: Gap, keys: Parameters<typeof valueAt>[0], done: Float64Array, scale: Scale): string {
  const [first, last] = [Math.floor(from_s * 50), Math.min(done.length - 1, Math.ceil(to_s * 50) + 1)];
  const upper: string[] = [];
  const lower: string[] = [];
  for (let n = first; n <= last; n++) {
    const [a, b] = [yOf(valueAt(keys, n / 50), scale), yOf(done[n]!, scale)];
    const x = xOf(n / 50).toFixed(1);
    upper.push(`${x} ${(Math.min(a, b) - LEAST).toFixed(1)}`);
    lower.unshift(`${x} ${(Math.max(a, b) + LEAST).toFixed(1)}`);
  }
  return upper.length === 0 ? '' : `M${[...upper, ...lower].join('L')}Z`;
}

/** Those of the open lane that are in view. */
const seenGaps = computed(() => gaps.value.filter((gap) => isSeen(gap) && isIn(gap, lane.value?.columns ?? [])));
const shownGap = computed(() => seenGaps.value.find((gap) => keyOf(gap) === open.value) ?? null);

/** The open gap's sentence, with what would cure it: beneath the time line, which stays whole. */
export const OpenGap = (): JSX.Element | null => shownGap.value && <FixOffers gap={shownGap.value} />;

/** The causes in words, above the curves where they are. */
export function GapWords(): JSX.Element | null {
  const [seen, shown] = [seenGaps.value, shownGap.value];
  if (seen.length === 0) return null;
  return (
    <div class="gap-words" role="group" aria-label="where it is not followed">
      {seen.map((gap) => (
        <button
          key={keyOf(gap)}
          type="button"
          title={gap.words}
          aria-expanded={gap === shown}
          style={{ '--at': String(1 + Math.max(0, Math.floor((100 * xOf(gap.from_s)) / WIDE))) }}
          onClick={() => {
            open.value = gap === shown ? null : keyOf(gap);
            goTo(gap.from_s);
          }}
        >
          {gap.way ? `${gap.cause}, ${gap.way}` : gap.cause}
        </button>
      ))}
    </div>
  );
}
