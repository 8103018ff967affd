/**
 * The report of a replay: one self-contained HTML page without scripts or outside resources, for screen, phone and paper.
 * This file is the order of the page; each section has its own.
 */
import type { Answer, Replay } from '../replay/result.ts';
import type { Rig } from '../rig/rig.ts';
import { figure, kept } from './figures.ts';
import { markup } from './markup.ts';
import type { Markup } from './markup.ts';
import { readingSection } from './reading.ts';
import { jointsSection, motionSection, poseSection, timingSection, torqueSection } from './sections.ts';
import { STYLE } from './style.ts';
import { canItGetThere, provenWords, willItBeSmooth, type Verdict, type Word } from '../replay/verdict.ts';
import { worstSection } from './worst.ts';

/** Full, half and empty disc: told apart without colour. */
const DISCS: Readonly<Record<Word, Markup>> = {
  yes: markup`<circle cx="9" cy="9" r="8" fill="currentColor"/>`,
  mostly: markup`<circle cx="9" cy="9" r="7" fill="none" stroke="currentColor" stroke-width="2"/><path d="M9 2A7 7 0 0 0 9 16Z" fill="currentColor"/>`,
  no: markup`<circle cx="9" cy="9" r="7" fill="none" stroke="currentColor" stroke-width="2"/>`,
};

const verdictCard = ({ question, word, because }: Verdict): Markup =>
  markup`<div class="verdict ${word}">
    <dt>${question}</dt>
    <dd>
      <strong><svg viewBox="0 0 18 18" aria-hidden="true">${DISCS[word]}</svg>${word}</strong>
      <p>${kept(because)}</p>
    </dd>
  </div>`;

const fileName = (path: string): string => path.split(/[\\/]/).at(-1) ?? path;

const head = (answer: Answer): Markup =>
  markup`<header id="verdict">
    <h1>${answer.rig} plays ${fileName(answer.stream)}</h1>
    <p class="lead">
      ${figure(answer.seconds, 's', 1)} of motion, replayed on ${answer.target}:
      ${provenWords(answer.proven)}.
      ${answer.ok ? 'Everything is within limits.' : 'Something is out of limits.'}
    </p>
    <dl class="verdicts">
      ${verdictCard(canItGetThere(answer))}${verdictCard(willItBeSmooth(answer))}
    </dl>
  </header>`;

/** The whole page as text. The replay must be of that rig: joints in its order. */
export function renderReport(rig: Rig, replay: Replay): string {
  const { answer } = replay;
  const style: Markup = { markup: STYLE };
  return markup`<!doctype html>
    <html lang="en">
      <head>
        <meta charset="utf-8"/>
        <meta name="viewport" content="width=device-width, initial-scale=1"/>
        <title>${answer.rig} plays ${fileName(answer.stream)}</title>
        <style>
          ${style}
        </style>
      </head>
      <body>
        <main>
          ${head(answer)} ${worstSection(rig, replay)} ${torqueSection(replay)} ${jointsSection(replay)}
          ${poseSection(rig, replay)} ${motionSection(replay)}
          ${timingSection(replay)} ${readingSection(rig, replay)}
        </main>
      </body>
    </html> `.markup;
}
