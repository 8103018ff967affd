/** What every report is: one self-contained HTML page without scripts or outside resources, for screen, phone and paper. */
import type { Told, Verdict } from '../replay/verdict.ts';
import { kept } from './draw/figures.ts';
import { markup } from './draw/markup.ts';
import type { Markup } from './draw/markup.ts';
import { STYLE } from './style.ts';

/** The last part of a path. */
export const fileName = (path: string): string => path.split(/[\\/]/).at(-1) ?? path;

/** Full, half and empty disc, and one of dashes: told apart without colour. */
const DISCS: Readonly<Record<Told, Markup>> = {
  yes: markup`<circle cx="9" cy="9" r="8" fill="currentColor"/>`,
  mostly: markup`<circle cx="9" cy="9" r="7" fill="none" stroke="currentColor" stroke-width="2"/><path d="M9 2A7 7 0 0 0 9 16Z" fill="currentColor"/>`,
  no: markup`<circle cx="9" cy="9" r="7" fill="none" stroke="currentColor" stroke-width="2"/>`,
  still: markup`<circle cx="9" cy="9" r="7" fill="none" stroke="currentColor" stroke-width="2"/><path d="M5 9H13" stroke="currentColor" stroke-width="2"/>`,
  unknown: markup`<circle cx="9" cy="9" r="7" fill="none" stroke="currentColor" stroke-width="2" stroke-dasharray="3.3 2.2"/>`,
};

/** A question, its answer in a word, and the sentence behind it. */
export const verdictCard = ({ question, word, because }: Omit<Verdict, 'word'> & { readonly word: Told }): Markup =>
  markup`<div class="verdict ${word}">
    <dt>${question}</dt>
    <dd>
      <strong><svg viewBox="0 0 18 18" aria-hidden="true">${DISCS[word]}</svg>${word}</strong>
      <p>${kept(because)}</p>
    </dd>
  </div>`;

/**
 * The whole page as text.
 * @param more style that only this kind of report needs.
 */
export function htmlPage(title: string, body: Markup, more = ''): string {
  const style: Markup = { markup: STYLE + more };
  return markup`<!doctype html>
    <html lang="en">
      <head>
        <meta charset="utf-8"/>
        <meta name="viewport" content="width=device-width, initial-scale=1"/>
        <title>${title}</title>
        <style>
          ${style}
        </style>
      </head>
      <body>
        <main>
          ${body}
        </main>
      </body>
    </html> `.markup;
}
