/** The page of `log`: what happened, in a table, and the last two minutes of the running record, joint by joint. */
import type { EnvelopeData } from '../replay/result.ts';
import { type Joint, type Rig, toShown } from '../rig/rig.ts';
import { counted } from '../rig/words.ts';
import type { JointSpan, LogRecord } from '../shows/log-frames.ts';
import type { Log } from '../shows/log.ts';
import { type EventLine, MODELLED, type Told, eventLine, jointName, spell } from '../shows/log-words.ts';
import { timeChart } from './draw/chart.ts';
import { kept } from './draw/figures.ts';
import { type Markup, markup } from './draw/markup.ts';
import { htmlPage } from './page.ts';
import { list } from './reading.ts';

/** What is drawn, s; and how long a record speaks for, s. */
const SHOWN_S = 120;
const TENTH_S = 0.1;

const LOG_STYLE = `
.events td:first-child { white-space: nowrap; }
.events .trouble td:nth-child(2) { font-weight: 650; }
.events .trouble td:first-child { border-left: 4px solid var(--stop); padding-left: 10px; }
.events td:first-child, .events th:first-child { border-left: 4px solid transparent; padding-left: 10px; }
#record .charts { margin-top: 18px; }
@media screen and (max-width: 600px) { .events td { display: block; border: 0; padding: 2px 10px; } .events tr { display: block; padding: 8px 0; border-bottom: 1px solid var(--hair); } .events thead { display: none; } .events td:first-child { white-space: normal; color: var(--soft); } }
`;

type Pair = readonly [number, number];

/** What the records say of one thing over the time shown; null in a record: nothing. */
function envelope(
  records: readonly LogRecord[],
  start_s: number,
  of: (record: LogRecord) => Pair | null,
): EnvelopeData {
  const n = Math.round(SHOWN_S / TENTH_S);
  const [lo, hi] = [new Float64Array(n).fill(NaN), new Float64Array(n).fill(NaN)];
  for (const record of records) {
    const at = Math.round((record.at_s - start_s) / TENTH_S) - 1;
    const pair = of(record);
    if (at < 0 || at >= n || !pair) continue;
    [lo[at], hi[at]] = pair;
  }
  return { bucket_s: TENTH_S, lo, hi };
}

const alike = (value: number | null): Pair | null => (value === null ? null : [value, value]);

/** Shares of the soft range in the joint's own unit, or in percent where no rig says what that is. */
function scaleOf(joint: Joint | undefined): {
  readonly unit: string;
  readonly limits: { lo: number; hi: number };
  of(share: number): number;
} {
  if (!joint) return { unit: '% of its range', limits: { lo: 0, hi: 100 }, of: (share) => 100 * share };
  const [lo, hi] = [toShown(joint, joint.lo), toShown(joint, joint.hi)];
  return { unit: joint.unit, limits: { lo, hi }, of: (share) => lo + share * (hi - lo) };
}

function jointChart(
  i: number,
  records: readonly LogRecord[],
  start_s: number,
  rig: Rig | null,
  names: Told['names'],
): Markup {
  const { unit, limits, of } = scaleOf(rig?.joints[i]);
  const name = jointName(i, names);
  const pick = (which: keyof JointSpan): EnvelopeData =>
    envelope(records, start_s, ({ joints }) => {
      const pair = joints[i]?.[which];
      return pair ? [of(pair[0]), of(pair[1])] : null;
    });
  return markup`<figure>${timeChart(name, { title: name, unit, seconds: SHOWN_S, delivered: pick('delivered'), asked: pick('asked'), limits })}</figure>`;
}

/** Supply, warmth and tick, each where there is anything to draw. */
function besides(records: readonly LogRecord[], start_s: number): Markup[] {
  const draw = (title: string, unit: string, least: number, of: (record: LogRecord) => number | null): Markup[] => {
    if (!records.some((record) => of(record) !== null)) return [];
    const delivered = envelope(records, start_s, (record) => alike(of(record)));
    return [markup`<figure>${timeChart('the prop', { title, unit, seconds: SHOWN_S, delivered, least })}</figure>`];
  };
  return [
    ...draw('supply, lowest', 'V', 1, ({ supply_v }) => supply_v),
    ...draw('warmth, modelled', 'of what is borne', 0.5, ({ warmth }) => warmth),
    ...draw('longest tick', '% of its time', 20, ({ tick_share }) => 100 * tick_share),
  ];
}

function eventsSection(lines: readonly EventLine[], torn: number): Markup {
  const rows = lines.map(
    ({ when, what, isTrouble }) =>
      markup`<tr${{ markup: isTrouble ? ' class="trouble"' : '' }}><td>${when}</td><td>${kept(what)}</td></tr>`,
  );
  const lost =
    torn === 0
      ? null
      : markup`<p>${counted(torn, 'place')} of the log cannot be read: power went while it was written, or bits have changed.</p>`;
  return markup`<section id="events">
    <h2>What happened</h2>
    <p class="lead">The newest first. A time of day stands where the board, or this computer, knew it.</p>
    ${lines.length === 0 ? markup`<p>Nothing is noted.</p>` : markup`<table class="events"><thead><tr><th scope="col">when</th><th scope="col">what</th></tr></thead><tbody>${rows}</tbody></table>`}
    ${lost}
  </section>`;
}

function recordSection(log: Log, rig: Rig | null, names: Told['names']): Markup {
  const last = log.records.at(-1);
  if (!last)
    return markup`<section id="record"><h2>The running record</h2><p>It is empty: the board keeps it in memory, and nothing has moved since power came.</p></section>`;
  const start_s = last.at_s - SHOWN_S;
  const charts = Array.from({ length: log.joints }, (_, i) => jointChart(i, log.records, start_s, rig, names));
  return markup`<section id="record">
    <h2>The last two minutes recorded</h2>
    <p class="lead">
      The right end is ${spell(last.at_s)} after power, ${spell(log.uptime_s - last.at_s)} before it was read. Dashed: asked; solid: delivered, as commanded; band: soft limits. Gaps: no
      pulses were on. Lowest and highest of every tenth of a second, each within 1/254 of the soft range.
    </p>
    <div class="charts">${besides(log.records, start_s)}</div>
    <div class="charts">${charts}</div>
  </section>`;
}

/** The whole page as text. rig: the one that the board runs; null: not given. */
export function renderLogReport(title: string, log: Log, rig: Rig | null, told: Told): string {
  const lines = [...log.events].reverse().map((event) => eventLine(event, log, told));
  const trips = log.events.filter(({ kind }) => kind === 'trip').length;
  return htmlPage(
    `${title}: log`,
    markup`<header>
      <h1>${title}: log</h1>
      <p class="lead">${counted(log.events.length, 'event')}, ${counted(trips, 'trip')} among them. On for ${spell(log.uptime_s)}, power-on ${log.boots}. The log’s flash has been erased ${counted(log.wear, 'time')}.</p>
    </header>
    ${eventsSection(lines, log.torn)}${recordSection(log, rig, told.names)}
    <section id="modelled"><h2>What is modelled, not measured</h2>${list(MODELLED)}</section>`,
    LOG_STYLE,
  );
}
