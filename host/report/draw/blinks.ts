/** A two-digit code of the light as pulses over time: on is up. */
import type { LightCode } from '../../shows/light-words.ts';
import { type Markup, markup } from './markup.ts';
import { px } from './svg.ts';

/** Of a pulse and of the gap behind it; of the pause between the digits. */
const ON = 9;
const OFF = 7;
const PAUSE = 18;
const LOW = 20;
const HIGH = 6;

/** Wide enough for five and two. */
export const BLINKS = { width: 148, height: 26 } as const;

/** The line alone, in px from its own corner. */
export function blinkPath({ code: [first, second] }: LightCode): string {
  const pulses = (n: number): string => `v${px(HIGH - LOW)}h${px(ON)}v${px(LOW - HIGH)}h${px(OFF)}`.repeat(n);
  return `M1 ${px(LOW)}h6${pulses(first)}h${px(PAUSE)}${pulses(second)}h8`;
}

export const blinkSvg = (it: LightCode): Markup =>
  markup`<svg class="blinks" viewBox="0 0 ${BLINKS.width} ${BLINKS.height}" role="img" aria-label="${`${String(it.code[0])} blinks, a pause, ${String(it.code[1])}`}"><path d="${blinkPath(it)}" fill="none" stroke="currentColor" stroke-width="1.8"/></svg>`;
