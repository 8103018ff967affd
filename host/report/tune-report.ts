/**
 * The page of tuning: the torque that was needed and there before and after, the prop where it was shortest, every limit before and
 * after with what bounds it, what is left of a wobble, and what helps where no limit does.
 */
import { PLUS_MINUS_NOTE, UNKNOWN } from '../rig/terms.ts';
import type { Replay, TorqueTrace } from '../replay/result.ts';
import { effortOf } from '../replay/words.ts';
import type { Rig } from '../rig/rig.ts';
import { together, capital } from '../rig/words.ts';
import type { Shown } from '../tune/shown.ts';
import { marginWords } from '../tune/margins.ts';
import type { TuneAnswer } from '../tune/result.ts';
import { headline, inAll } from '../tune/verdict.ts';
import { type TriedCure, leftWords } from '../tune/wobble-trial.ts';
import { figure, kept, percent } from './draw/figures.ts';
import { lateWords } from '../tune/words.ts';
import { costWords, limitsTable } from './limits-table.ts';
import { type Markup, markup } from './draw/markup.ts';
import { postureThen } from './moment.ts';
import { htmlPage, verdictCard, fileName } from './page.ts';
import { propSide, whereStopped } from './draw/prop.ts';
import { SAFETY, list } from './reading.ts';
import { propSvg } from './draw/scene.ts';
import { swingCharts } from './draw/swing-charts.ts';
import { type TorqueSeries, seriesOf, shortestAt, topOf, torqueChart, windowAround } from './draw/torque-chart.ts';
import { TUNE_STYLE } from './tune-style.ts';

/** All that the page tells. */
export interface TunePage {
  readonly answer: TuneAnswer;
  /** What it looks like before and after; null: no joint was short of torque, nor has new limits. */
  readonly shown: Shown | null;
  /** The wobble's cure, and how it did in simulation or why that was not tried; null: none was asked for. */
  readonly wobble: TriedCure | null;
}

const sentence = (words: string): string => kept(`${capital(words)}${/[.!?]$/.test(words) ? '' : '.'}`);

function head({ answer }: TunePage, title: string): Markup {
  const { word, words } = inAll(answer);
  const costs = [...costWords(answer.joints), ...lateWords(answer)];
  return markup`<header id="verdict">
    <h1>${title}</h1>
    <p class="lead">${sentence(headline(answer).replace(`${answer.rig}: `, ''))} Before is the file as it was, after is with the new limits; both were tried in a simulation of servos and loads, and nothing here has run on a board or on a real prop.</p>
    <dl class="verdicts">${verdictCard({ question: 'Does every servo keep up now?', word, because: sentence(words) })}</dl>
    ${costs.length === 0 ? null : markup`<div class="costs"><h3>What it costs</h3>${list(costs.map(sentence))}</div>`}
  </header>`;
}

const traceOf = ({ traces }: Replay, name: string): TorqueTrace | undefined =>
  traces.torques.find((trace) => trace.name === name);

/** Both series, and when the first is shortest; null: nothing is known of the joint's torque. */
interface Torques {
  readonly before: TorqueSeries;
  readonly after: TorqueSeries;
  readonly at_s: number;
}

function torquesOf({ joint, before, after }: Shown): Torques | null {
  const [first, second] = [traceOf(before, joint), traceOf(after, joint)];
  if (!first || !second) return null;
  const [one, two] = [seriesOf(first), seriesOf(second)];
  return one.at_s.length === 0 ? null : { before: one, after: two, at_s: shortestAt(one) };
}

function metalWords({ answer }: Replay, name: string): string {
  const joint = answer.joints.find((one) => one.name === name);
  if (!joint?.metal) return UNKNOWN;
  const { saturated_ms, tracking_error, falls_at_s } = joint.metal;
  if (falls_at_s !== null) return `it falls at ${figure(falls_at_s, 's', 2)}`;
  return `out of ${effortOf([joint])} for ${figure(saturated_ms, 'ms', 0)}, and ${figure(tracking_error, joint.unit, 1)} from its command at worst`;
}

/** Both charts; one where nothing was changed. */
function torqueSection({ joint, before, after, played, isTuned }: Shown, torques: Torques): Markup {
  const series = [torques.before, torques.after] as const;
  const span = windowAround(torques.at_s, Math.max(before.answer.seconds, after.answer.seconds));
  const top = topOf(series);
  const chart = (id: string, one: TorqueSeries): Markup =>
    markup`<figure>${torqueChart({ id: id.replaceAll(' ', '-'), title: `${joint} ${id}`, top, span }, one)}</figure>`;
  const [was, is] = [metalWords(before, joint), metalWords(after, joint)];
  const said = isTuned
    ? `Both at the same scale, for this run only. Before: ${was}. After: ${is}. The table of limits covers everything that was tried.`
    : `As it is; no limit changes that: ${was}.`;
  return markup`<section id="torque">
    <h2>Torque needed and torque available${isTuned ? ', before and after' : ''}</h2>
    <p class="lead">${kept(`Played: ${fileName(played)}. Shown is ${joint} around its hardest moment, with torques at the joint. The faster a servo turns, the less torque it has. ${said}`)}</p>
    ${isTuned ? markup`${chart('before', torques.before)}${chart('after', torques.after)}` : chart('as it is', torques.before)}
  </section>`;
}

const FRAME = { width: 620, tallest: 460 };
const SMALL = { width: 358, tallest: 380 };

/** The prop where the joint was shortest of torque before. */
function worstSection(rig: Rig, shown: Shown, { before: series, at_s }: Torques): Markup | null {
  const at = postureThen(rig, shown.before, at_s);
  const k = series.at_s.indexOf(at_s);
  const [needed, there] = [series.needed[k] ?? NaN, series.available[k] ?? NaN];
  const now = at ? propSide(rig, at.q, at.pose) : [];
  if (!at || now.length === 0 || Number.isNaN(needed)) return null;
  const worst_joint = { name: shown.joint, error: 0, past: 0, unit: 'deg' as const };
  const where = whereStopped(rig, { delivered: [...at.q], delivered_pose: at.pose, stopped_by: null, worst_joint });
  const when = figure(at_s, 's', 2);
  const isShort = needed > there;
  const ring = { words: `${shown.joint}: ${isShort ? 'short of torque' : 'works hardest'}`, at: where };
  const scene = {
    now,
    was: [],
    ring,
    said: 'The prop from the side at its worst instant',
    foot: `at ${when}, looks this way →`,
  };
  const share = there > 0 ? `, ${percent(needed / there)} of what its servo has` : '';
  const caption = `At ${when}${shown.isTuned ? ', before,' : ''} ${shown.joint} needs ${figure(needed, series.unit, 2)}${share}: ${figure(there, series.unit, 2)} at that speed.`;
  return markup`<section id="worst">
    <h2>${isShort ? 'Where torque was shortest' : 'Where it was hardest'}</h2>
    <figure class="worst">
      <div class="scene"><div class="wide">${propSvg(rig, scene, FRAME)}</div><div class="narrow">${propSvg(rig, scene, SMALL)}</div></div>
      <figcaption><p>${kept(caption)}</p></figcaption>
    </figure>
  </section>`;
}

/** What the limits were tried with. */
function movesWords({ joints, stream }: TuneAnswer): string {
  const isThere = (legs: boolean): boolean => joints.some(({ name }) => (name === 'legs') === legs);
  const moves = [
    ...(isThere(false) ? ['each joint from one soft limit to the other and back'] : []),
    ...(stream !== null ? [fileName(stream)] : isThere(true) ? ['quick looks of the platform'] : []),
  ];
  return together(moves);
}

const fadeNote = ({ joints }: TuneAnswer): string =>
  joints.some(({ limits }) => Number.isFinite(limits.plus_gone) || Number.isFinite(limits.minus_gone))
    ? 'When speeding up, a limit may fall with speed as the servo’s torque does, down to zero at the speed given below it; when braking it does not. '
    : '';

const limitsSection = (answer: TuneAnswer): Markup =>
  markup`<section id="limits">
    <h2>The limits, before and after</h2>
    <p class="lead">${PLUS_MINUS_NOTE} ${fadeNote(answer)}Out of torque is the time a servo gave all it had and could not follow; furthest behind leaves out its sag at rest, which no limit changes. Tried with ${movesWords(answer)}; the figures are the worst of these.</p>
    ${limitsTable(answer.joints)}
    <h3 class="costs">What limits each</h3>
    <dl class="told">${answer.joints.map(({ name, bound_by }) => markup`<dt>${name}</dt><dd>${sentence(bound_by)}</dd>`)}</dl>
    ${answer.margins === null ? null : markup`<h3 class="costs">Margins</h3><p id="margins">${sentence(marginWords(answer.margins))}</p>`}
  </section>`;

function wobbleSection({ wobble }: TunePage): Markup | null {
  if (!wobble) return null;
  const { cure, tried } = wobble;
  const charts =
    'untried' in tried
      ? null
      : markup`<p class="lead">How far ${tried.trial.joint} is from its command, both at the same scale: it sags under its weight, moves, and then what is left of the swing shows. The move: ${kept(tried.trial.move)}.</p>
        ${swingCharts(tried)}`;
  return markup`<section id="wobble">
    <h2>What is left of the wobble</h2>
    ${list(cure.words.map(sentence))}
    <h3 class="costs">Tried</h3>
    <p>${sentence(leftWords(tried))}</p>
    ${charts}
  </section>`;
}

const adviceSection = ({ advice }: TuneAnswer): Markup | null =>
  advice.length === 0 ? null : markup`<section id="advice"><h2>What helps</h2>${list(advice.map(sentence))}</section>`;

const restsSection = ({ rests_on }: TuneAnswer): Markup =>
  markup`<section id="rests">
    <h2>What it is based on</h2>
    ${list([...rests_on.map(sentence), 'Check the real margin on the prop, with warm servos and its full load.'])}
    ${SAFETY}
  </section>`;

/** The whole page as text; the rig is the one before tuning. */
export function renderTuneReport(rig: Rig, page: TunePage): string {
  const { answer, shown } = page;
  const torques = shown && torquesOf(shown);
  const title = `${answer.rig}: limits before and after`;
  return htmlPage(
    title,
    markup`${head(page, title)} ${shown && torques && worstSection(rig, shown, torques)} ${shown && torques && torqueSection(shown, torques)}
      ${adviceSection(answer)} ${limitsSection(answer)} ${wobbleSection(page)} ${restsSection(answer)}`,
    TUNE_STYLE,
  );
}
