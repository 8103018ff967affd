/**
 * The page of `why`: the four questions, the worst moment, the torque that was needed and there before and after the cure at one
 * scale, and the causes in order. One self-contained page, as the replay's.
 */
import type { JointAnswer, Replay, TorqueTrace } from '../replay/result.ts';
import type { Rig } from '../rig/rig.ts';
import type { Cause, WhyAnswer } from '../why/result.ts';
import { onMetalWords, sentence, trialWords } from '../why/words.ts';
import type { Reasoned } from '../why/why.ts';
import { kept } from './draw/figures.ts';
import { type Markup, markup } from './draw/markup.ts';
import { htmlPage, verdictCard } from './page.ts';
import { type TorqueSeries, seriesOf, shortestAt, topOf, torqueChart, windowAround } from './draw/torque-chart.ts';
import { worstSection } from './worst.ts';

/** Style of the causes. */
export const TOLD = `
.told { display: grid; grid-template-columns: 4em 1fr; gap: 4px 12px; margin: 0; max-width: 44em; }
.told dt { color: var(--soft); }
.told dd { margin: 0; }
`;

const answerCard = ({ question, verdict, because }: WhyAnswer): Markup =>
  verdictCard({ question, word: verdict, because });

const traceOf = ({ traces }: Replay, name: string): TorqueTrace | undefined =>
  traces.torques.find((trace) => trace.name === name);

/** The joint that is out of torque longest, before and, where a cure was tried, after, at one scale. */
function torques({ why, before, after }: Reasoned): Markup | null {
  if (!before) return null;
  const shortOf = ({ metal }: JointAnswer): number => metal?.saturated_ms ?? 0;
  const worst = before.answer.joints.reduce((most, joint) => (shortOf(joint) > shortOf(most) ? joint : most));
  const cause = why.causes.find(({ cause: name }) => name === 'torque_saturated');
  const first = shortOf(worst) > 0 ? traceOf(before, worst.name) : undefined;
  if (!first || !cause) return null;
  const second = cause.before && cause.after && after ? traceOf(after, worst.name) : undefined;
  const series = [first, ...(second ? [second] : [])].map(seriesOf);
  const span = windowAround(shortestAt(series[0]!), before.answer.seconds);
  const chart = (id: string, one: TorqueSeries | undefined): Markup | null =>
    one
      ? markup`<figure>${torqueChart({ id, title: `${worst.name} ${id}`, top: topOf(series), span }, one)}</figure>`
      : null;
  const tried =
    cause.before && cause.after
      ? `Before: ${trialWords(cause, cause.before)}. After: ${trialWords(cause, cause.after)}. Both ${onMetalWords(cause)}, at the same scale.`
      : `${sentence(cause.because, [worst.name])} There is no fix that the simulation could try.`;
  return markup`<section id="torque">
    <h2>Torque needed and torque available${second ? ', before and after' : ''}</h2>
    <p class="lead">${kept(tried)}</p>
    ${chart('before', series[0])} ${chart('after', series[1])}
  </section>`;
}

const causeItem = (cause: Cause): Markup =>
  markup`<div class="joint">
    <header><h3>${cause.title}</h3><p>${cause.likely}</p></header>
    <p>${kept(cause.because)}.</p>
    <dl class="told">
      <dt>Test</dt><dd>${kept(cause.test)}.</dd>
      <dt>Fix</dt><dd>${kept(cause.cure)}.</dd>
      <dt>Cost</dt><dd>${kept(cause.cost)}.</dd>
      ${cause.before && cause.after ? markup`<dt>Before</dt><dd>${kept(trialWords(cause, cause.before))}.</dd><dt>After</dt><dd>${kept(trialWords(cause, cause.after))} (both ${onMetalWords(cause)}).</dd>` : null}
    </dl>
  </div>`;

/** The worst moment, the torque before and after, and the causes: without the page around them. */
export const renderWhyParts = (rig: Rig, reasoned: Reasoned): Markup => {
  const { why, before } = reasoned;
  return markup`${before ? worstSection(rig, before) : null} ${torques(reasoned)}
    ${why.causes.length === 0 ? null : markup`<section id="causes"><h2>Causes, likeliest first</h2>${why.causes.map(causeItem)}</section>`}`;
};

/** The whole page as text. The replays must be of that rig; the first one is there. */
export function renderWhy(rig: Rig, reasoned: Reasoned): string {
  const { why, before } = reasoned;
  const title = before ? `${rig.name} plays ${before.answer.stream.split(/[\\/]/).at(-1) ?? ''}` : rig.name;
  return htmlPage(
    title,
    markup`<header id="verdict">
      <h1>${title}</h1>
      <p class="lead">Simulated: nothing here has run on a board or on a real prop.</p>
      <dl class="verdicts">${why.answers.map(answerCard)}</dl>
    </header>
    ${renderWhyParts(rig, reasoned)}
    <section id="rests">
      <h2>What it is based on</h2>
      <ul>${why.rests_on.map((words) => markup`<li>${kept(words)}.</li>`)}</ul>
      ${why.measure_first === null ? null : markup`<p>Measure first: ${kept(why.measure_first)}.</p>`}
      <div class="safety"><p>It can pinch fingers and drop weight. Keep hands clear, fit a real power cut-off, and follow local codes and licensed practice: software is no safety device.</p></div>
    </section>`,
    TOLD,
  );
}
