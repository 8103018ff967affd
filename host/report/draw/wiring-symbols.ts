/**
 * Symbols of circuit diagrams in the style of IEC 60617, each on a wire that runs from left to right through (x, y), or down from it.
 * Positions in px.
 */
import { type Markup, markup } from './markup.ts';
import { label, path, px } from './svg.ts';

export type Colour = 'RD' | 'BK' | 'OG' | 'YE' | 'WH';

/** A straight conductor through points, in the colour that its letters name (IEC 60757). */
export const wire = (colour: Colour, ...points: readonly (readonly [number, number])[]): Markup =>
  path(`wire ${colour.toLowerCase()}`, points.map(([x, y], i) => `${i === 0 ? 'M' : 'L'}${px(x)} ${px(y)}`).join(''));

/** Joined conductors; where two cross without it they do not touch. */
export const dot = (x: number, y: number): Markup => markup`<circle class="dot" cx="${x}" cy="${y}" r="3.5"/>`;

const named = (name: string, x: number, y: number): Markup => label(name, x, y, 'middle', 'name');

/** 40 wide: a rectangle that the wire runs through. */
export const fuse = (x: number, y: number, name: string, size: string): Markup =>
  markup`<g class="fuse">${path('symbol through', `M${px(x)} ${px(y - 6)}h40v12h-40ZM${px(x)} ${px(y)}h40`)}
    ${named(name, x + 20, y - 11)}${label(size, x + 20, y + 19, 'middle')}</g>`;

/** 40 wide: a contact that closes when it is worked; its blade stands open. */
export const makeContact = (x: number, y: number, name: string): Markup =>
  markup`<g class="contact make">${path('gap', `M${px(x)} ${px(y)}h40`)}${path('symbol', `M${px(x)} ${px(y)}h8l26 -13M${px(x + 34)} ${px(y)}h6`)}
    ${named(name, x + 20, y - 19)}</g>`;

/** 40 wide: a contact that opens when it is pressed; its blade lies on the stop that the short upright is. */
export const breakContact = (x: number, y: number, name: string): Markup =>
  markup`<g class="contact break">${path('gap', `M${px(x)} ${px(y)}h40`)}
    ${path('symbol', `M${px(x)} ${px(y)}h8l28 -9M${px(x + 34)} ${px(y)}v-11M${px(x + 34)} ${px(y)}h6M${px(x + 21)} ${px(y - 4)}v-14M${px(x + 14)} ${px(y - 18)}h14`)}
    ${named(name, x + 21, y - 22)}</g>`;

/** A rectangle, 30 high, from the wire at (x, y) down to ground. */
export const pullDown = (x: number, y: number, name: string, size: string): Markup =>
  markup`<g class="resistor">${dot(x, y)}${path('symbol', `M${px(x)} ${px(y)}v5M${px(x - 4)} ${px(y + 5)}h8v16h-8ZM${px(x)} ${px(y + 21)}v4`)}
    ${ground(x, y + 25)}${label(`${name} ${size}`, x + 9, y + 18, 'start')}</g>`;

/** A resistor on the wire, 34 wide. */
export const resistor = (x: number, y: number, name: string): Markup =>
  markup`<g class="resistor">${path('symbol filled', `M${px(x)} ${px(y - 5)}h34v10h-34Z`)}${label(name, x + 17, y - 9, 'middle')}</g>`;

/** The board's ground: 0 V. */
export const ground = (x: number, y: number): Markup =>
  path('symbol ground', `M${px(x - 7)} ${px(y)}h14M${px(x - 4.5)} ${px(y + 3)}h9M${px(x - 2)} ${px(y + 6)}h4`);

export const motor = (x: number, y: number): Markup =>
  markup`<g class="motor"><circle class="symbol filled" cx="${x}" cy="${y}" r="17"/>${label('M', x, y + 5, 'middle', 'letter')}</g>`;

/** Cells upright, - above +, from (x, top) to (x, bottom). */
export function battery(x: number, top: number, bottom: number): Markup {
  const y = (top + bottom) / 2;
  return markup`<g class="source">${path('symbol', `M${px(x)} ${px(top)}V${px(y - 9)}M${px(x - 7)} ${px(y - 9)}h14M${px(x - 14)} ${px(y - 3)}h28M${px(x - 7)} ${px(y + 3)}h14M${px(x - 14)} ${px(y + 9)}h28M${px(x)} ${px(y + 9)}V${px(bottom)}`)}</g>`;
}

/** A converter of alternating into direct voltage, with its poles above and below. */
export function converter(x: number, top: number, bottom: number): Markup {
  const y = (top + bottom) / 2;
  return markup`<g class="source">${path('symbol', `M${px(x)} ${px(top)}V${px(y - 15)}M${px(x)} ${px(y + 15)}V${px(bottom)}`)}
    ${path('symbol filled', `M${px(x - 15)} ${px(y - 15)}h30v30h-30Z`)}${path('symbol', `M${px(x - 15)} ${px(y + 15)}l30 -30`)}
    ${label('~', x - 7, y - 2, 'middle', 'letter')}${label('=', x + 7, y + 12, 'middle', 'letter')}</g>`;
}

/** Two plates across an upright wire, the + one below. */
export const capacitor = (x: number, y: number): Markup =>
  markup`<g class="capacitor">${path('gap', `M${px(x)} ${px(y - 4)}v8`)}${path('symbol', `M${px(x - 12)} ${px(y - 4)}h24M${px(x - 12)} ${px(y + 4)}h24`)}
    ${label('+', x - 18, y + 16, 'middle')}</g>`;

/** On the wire, 20 wide; current runs to the left. */
export const diodeLeft = (x: number, y: number, name: string): Markup =>
  markup`<g class="diode">${path('symbol filled', `M${px(x + 18)} ${px(y - 8)}v16l-16 -8Z`)}${path('symbol', `M${px(x + 2)} ${px(y - 8)}v16`)}
    ${named(name, x + 10, y - 12)}</g>`;

/** A box with a name and words under it. */
export const box = (x: number, y: number, width: number, height: number, words: readonly string[]): Markup =>
  markup`<g class="box"><rect class="symbol filled" x="${x}" y="${y}" width="${width}" height="${height}"/>
    ${words.map((line, i) => label(line, x + width / 2, y + 15 + 14 * i, 'middle', i === 0 ? 'name' : 'soft'))}</g>`;
