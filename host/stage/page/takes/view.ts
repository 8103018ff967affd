/** What of the time line is in view, what is chosen on it, and how that changes. Times are s of the take. */
import { computed, signal } from '@preact/signals';
import { curveOf } from '../../take/take.ts';
import { openLane, cursor_s, lanes, take } from '../state.ts';

export interface Span {
  readonly from_s: number;
  readonly to_s: number;
}

/** Units of an SVG across the whole width: they are drawn without their proportions. */
export const WIDE = 1000;
/** Shorter than this is not shown across the width, s. */
const SHORTEST_S = 0.5;

/** Null: all of the take. */
const zoomed = signal<Span | null>(null);
export const span = computed<Span>(() => zoomed.value ?? { from_s: 0, to_s: Math.max(1, take.value.seconds) });
/** The chosen stretch; null: none. */
export const chosen = signal<Span | null>(null);
/** The column whose keys are shown, by name; null: the lane's first that has any. */
export const activeColumn = signal<string | null>(null);

export const lane = computed(() => lanes.value.find(({ name }) => name === openLane.value) ?? lanes.value[0] ?? null);
export const column = computed(() => {
  const columns = lane.value?.columns ?? [];
  const used = columns.find((name) => curveOf(take.value, name) !== null);
  return columns.find((name) => name === activeColumn.value) ?? used ?? columns[0] ?? null;
});

/** To the frame. */
export const frame = (t_s: number): number => Math.round(t_s * 50) / 50;
export const xOf = (t_s: number): number => ((t_s - span.value.from_s) / (span.value.to_s - span.value.from_s)) * WIDE;
/** @param share of the width, from the left */
export const timeAt = (share: number): number =>
  Math.max(0, span.value.from_s + share * (span.value.to_s - span.value.from_s));

/** Shows so many times as much, about an instant that stays where it is. */
export function zoom(times: number, about_s = cursor_s.value): void {
  const { from_s, to_s } = span.value;
  const all_s = Math.max(1, take.value.seconds);
  const long_s = Math.max(SHORTEST_S, (to_s - from_s) * times);
  const share = Math.max(0, Math.min(1, (about_s - from_s) / (to_s - from_s)));
  if (long_s >= all_s) zoomed.value = null;
  else show(about_s - share * long_s, long_s);
}

export function scroll(by_s: number): void {
  if (zoomed.value) show(zoomed.value.from_s + by_s, zoomed.value.to_s - zoomed.value.from_s);
}

function show(from_s: number, long_s: number): void {
  const begin_s = Math.max(0, Math.min(from_s, Math.max(1, take.value.seconds) - long_s));
  zoomed.value = { from_s: begin_s, to_s: begin_s + long_s };
}

/** Puts the cursor there, in view; `extends`: the stretch from where it was grows with it. */
export function goTo(t_s: number, extend = false): void {
  const before_s = cursor_s.value;
  const to_s = frame(Math.max(0, Math.min(take.value.seconds, t_s)));
  if (extend) extendTo(before_s, to_s);
  cursor_s.value = to_s;
  const { from_s, to_s: end_s } = span.value;
  if (to_s < from_s) scroll(to_s - from_s);
  else if (to_s > end_s) scroll(to_s - end_s);
}

function extendTo(before_s: number, to_s: number): void {
  const now = chosen.value ?? { from_s: before_s, to_s: before_s };
  const other_s = Math.abs(now.from_s - before_s) <= Math.abs(now.to_s - before_s) ? now.to_s : now.from_s;
  const [from_s, end_s] = [frame(Math.min(other_s, to_s)), frame(Math.max(other_s, to_s))];
  chosen.value = end_s > from_s ? { from_s, to_s: end_s } : null;
}

export const seconds = (t_s: number): string => `${t_s.toFixed(2)} s`;
export const unitOf = (name: string): string => (name.endsWith('_mm') ? 'mm' : 'deg');
export const plain = (name: string): string => name.replace(/_(mm|deg)$/, '').replaceAll('_', ' ');
