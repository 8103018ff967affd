/**
 * The report of a replay: one self-contained HTML page without scripts or outside resources, for screen, phone and paper.
 * This file is the order of the page; each section has its own.
 */
import type { Answer, Replay } from '../replay/result.ts';
import type { Rig } from '../rig/rig.ts';
import { figure } from './draw/figures.ts';
import { markup } from './draw/markup.ts';
import type { Markup } from './draw/markup.ts';
import { htmlPage, verdictCard } from './page.ts';
import { readingSection } from './reading.ts';
import { motionSection } from './motion-section.ts';
import { jointsSection, poseSection, timingSection, torqueSection } from './sections.ts';
import { canItGetThere, provenWords, willItBeSmooth } from '../replay/verdict.ts';
import { worstSection } from './worst.ts';

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
  return htmlPage(
    `${answer.rig} plays ${fileName(answer.stream)}`,
    markup`${head(answer)} ${worstSection(rig, replay)} ${torqueSection(replay)} ${jointsSection(replay)}
      ${poseSection(rig, replay)} ${motionSection(replay)}
      ${timingSection(replay)} ${readingSection(rig, replay)}`,
  );
}
