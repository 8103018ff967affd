/** The few SVG pieces that every picture and chart is made of. Positions in px of the view box. */
import { markup } from './markup.ts';
import type { Markup } from './markup.ts';

export type Anchor = 'start' | 'middle' | 'end';

/** Words at a point of their base line; `kind` is the class that the style sheet knows. */
export const label = (words: string, x: number, y: number, anchor: Anchor, kind = 'soft'): Markup =>
  markup`<text class="${kind}" x="${x}" y="${y}" text-anchor="${anchor}">${words}</text>`;

/** A stroked or filled path. */
export const path = (kind: string, d: string): Markup => markup`<path class="${kind}" d="${d}"/>`;

/** An upright bar from `top` down to `bottom`. */
export const upright = (kind: string, x: number, width: number, top: number, bottom: number): Markup =>
  markup`<rect class="${kind}" x="${x}" y="${top}" width="${width}" height="${bottom - top}"/>`;
