/** The page of `compare`: the rigs drawn to one scale, then tables of what differs in their figures, and in their files. */
import { isPulse, shownValue } from '../compare/keys.ts';
import type { Comparison, FigureRow, KeyRow } from '../compare/result.ts';
import { GROUPS, UNTOLD, figureWords, sameMark } from '../compare/words.ts';
import { HOME, type Rig } from '../rig/rig.ts';
import { counted, together } from '../rig/words.ts';
import { kept } from './draw/figures.ts';
import { type Markup, markup } from './draw/markup.ts';
import { type Drawing, extentOf, propSide } from './draw/prop.ts';
import { drawingSvg } from './draw/scene.ts';
import { fileName, htmlPage } from './page.ts';
import { SAFETY, list } from './reading.ts';

/** @param rigs their number: where so many columns do not fit, the table goes on to the right */
const styleOf = (rigs: number): string => `${STYLE}
.onward { display: none; color: var(--soft); font-size: .875rem; }
@media screen and (max-width: ${String(Math.min(600, NAMES_PX + rigs * RIG_PX + EDGES_PX))}px) { .onward { display: block; } }
`;

/** Widths on a narrow screen: the names of rows, a rig, and the page's own edges. */
const [NAMES_PX, RIG_PX, EDGES_PX] = [112, 114, 40];

const STYLE = `
.rigs { display: grid; grid-template-columns: repeat(auto-fit, minmax(170px, 1fr)); gap: 18px 16px; margin-top: 14px; }
.rigs svg { background: var(--card); border: 1px solid var(--hair); border-radius: 8px; }
.rigs figure { max-width: 300px; }
.rigs figcaption { font-size: .875rem; margin-top: 6px; }
.rigs figcaption span { display: block; color: var(--soft); }
.sides { table-layout: fixed; }
.sides thead th { white-space: normal; color: var(--ink); font-weight: 650; }
.sides tbody th { font-weight: 500; overflow-wrap: anywhere; }
.sides .group th { color: var(--soft); padding-top: 18px; border-bottom-color: var(--edge); }
.sides .value { display: block; font-weight: 650; }
.sides .alike .value { font-weight: 400; }
.sides .alike { color: var(--soft); }
.sides .over, .sides .over .value { color: var(--stop); font-weight: 650; }
.sides .mark { display: block; color: var(--stop); font-weight: 650; }
.scroll { overflow-x: auto; background: linear-gradient(to right, var(--paper) 30%, transparent) 0 0 / 24px 100% no-repeat local, linear-gradient(to left, var(--paper) 30%, transparent) 100% 0 / 24px 100% no-repeat local, linear-gradient(to right, var(--edge), transparent) 0 0 / 10px 100% no-repeat scroll, linear-gradient(to left, var(--edge), transparent) 100% 0 / 10px 100% no-repeat scroll; }
#keys details { margin-top: 14px; }
#keys summary { cursor: pointer; min-height: 24px; }
@media screen and (max-width: 600px) { .sides { min-width: calc(${NAMES_PX}px + var(--rigs) * ${RIG_PX}px); } .rigs { grid-template-columns: 1fr 1fr; } }
`;

const [WIDTH, HEIGHT, EDGE] = [240, 200, 12];

const drawingsOf = (rig: Rig): readonly Drawing[] =>
  propSide(
    rig,
    rig.joints.map(({ home }) => home),
    rig.platform ? HOME : null,
  );

/** From the right side at home, all to the scale of the largest. */
function pictures(rigs: readonly Rig[], names: readonly string[]): Markup[] {
  const drawn = rigs.map(drawingsOf);
  const spans = drawn.map(extentOf);
  const widest = Math.max(...spans.map(({ x }) => x[1] - x[0]), 1);
  const tallest = Math.max(...spans.map(({ z }) => z[1] - z[0]), 1);
  const px_per_mm = Math.min((WIDTH - 2 * EDGE) / widest, (HEIGHT - 2 * EDGE) / tallest);
  return drawn.map((drawings, i) => {
    const { x, z } = spans[i]!;
    const [cx, cz] = [(x[0] + x[1]) / 2, (z[0] + z[1]) / 2];
    const placed = {
      px_per_mm,
      width: WIDTH,
      height: HEIGHT,
      view: (point: readonly [number, number]): readonly [number, number] =>
        [WIDTH / 2 + (point[0] - cx) * px_per_mm, HEIGHT / 2 - (point[1] - cz) * px_per_mm] as const,
    };
    const name = names[i] ?? '';
    return markup`<figure>
      <svg viewBox="0 0 ${WIDTH} ${HEIGHT}" role="img" aria-label="${name} at home, from its right side">
        <g class="now">${drawings.map((drawing) => drawingSvg(drawing, placed))}</g>
      </svg>
      <figcaption><b>${name}</b><span>${rigs[i]?.name ?? ''}</span></figcaption>
    </figure>`;
  });
}

/** @param over the rigs that something of is out of limits */
function headRow(first: string, names: readonly string[], over: readonly boolean[] = []): Markup {
  const heads = names.map(
    (name, i) =>
      markup`<th scope="col">${name}${over[i] ? markup`<span class="mark">out of limits</span>` : null}</th>`,
  );
  return markup`<thead><tr><th scope="col">${first}</th>${heads}</tr></thead>`;
}

/** Behind it the table; where it does not fit it scrolls. */
const scrolling = (name: string, table: Markup): Markup =>
  markup`<p class="onward">The table goes on to the right →</p><div class="scroll" role="region" aria-label="${name}" tabindex="0">${table}</div>`;

/** A key path that breaks behind its dots. */
const breakable = (path: string): Markup[] =>
  path.split('.').map((key, i) => (i === 0 ? markup`${key}` : markup`.<wbr>${key}`));

function keyTable(keys: readonly KeyRow[], rigs: readonly string[]): Markup | null {
  if (keys.length === 0) return null;
  const rows = keys.map(
    ({ path, values }) =>
      markup`<tr><th scope="row"><code>${breakable(path)}</code></th>${values.map((value) => markup`<td>${kept(shownValue(path, value))}</td>`)}</tr>`,
  );
  return scrolling(
    'What differs in the files',
    markup`<table class="sides" style="--rigs: ${rigs.length}">${headRow('key', rigs)}<tbody>${rows}</tbody></table>`,
  );
}

/** Geometry, parts and joints in sight; what servos are and how they are driven folded. */
function keysSection({ keys, rigs }: Comparison): Markup {
  const isFolded = ({ path }: KeyRow): boolean => path.startsWith('servos.') || isPulse(path);
  const folded = keys.filter(isFolded);
  return markup`<section id="keys">
    <h2>What differs in the files</h2>
    ${keys.length === 0 ? markup`<p>Nothing but words: every key has the same value.</p>` : null}
    ${keyTable(
      keys.filter((row) => !isFolded(row)),
      rigs,
    )}
    ${folded.length === 0 ? null : markup`<details><summary>${counted(folded.length, 'key')} of servo classes and pulses</summary>${keyTable(folded, rigs)}</details>`}
  </section>`;
}

/** More than a servo can give. */
const isOver = ({ unit, values }: FigureRow, i: number): boolean => unit === 'share' && (values[i] ?? 0) > 1;

function figureRow(row: FigureRow): Markup {
  const cells = row.values.map((_, i) => {
    const [{ value, because }, mark] = [figureWords(row, i), sameMark(row, i)];
    const over = isOver(row, i);
    return markup`<td class="${[mark === '≈ ' ? 'alike' : '', over ? 'over' : ''].join(' ').trim()}"><span class="value">${mark}${kept(value)}</span>${over ? markup`<span class="mark">more than it has</span>` : null}${because}</td>`;
  });
  const same = row.alike ? markup`<span class="beside"> alike</span>` : null;
  return markup`<tr class="${row.alike ? 'alike' : 'differs'}"><th scope="row">${row.words}${same}</th>${cells}</tr>`;
}

function figuresSection({ figures, rigs, ok }: Comparison): Markup {
  const groups = (['travel', 'work', 'size'] as const).flatMap((group) => {
    const own = figures.filter((row) => row.group === group);
    const rows = [...own.filter(({ alike }) => !alike), ...own.filter(({ alike }) => alike)];
    if (rows.length === 0) return [];
    return [
      markup`<tr class="group"><th scope="rowgroup" colspan="${rigs.length + 1}">${GROUPS[group]}</th></tr>`,
      ...rows.map(figureRow),
    ];
  });
  const over = ok.map((fine) => !fine);
  const beware = over.includes(true) ? ' Of what is out of limits, “posewright load” says where.' : '';
  const untold = figures.some((row) => rigs.some((_, i) => sameMark(row, i) === '? '));
  return markup`<section id="figures">
    <h2>What changes</h2>
    <p class="lead">Alike, and ≈ beside the first rig: they differ by less than these figures may be off.${untold ? ` With ?: ${UNTOLD}.` : ''}${beware}</p>
    ${scrolling('What changes', markup`<table class="sides" style="--rigs: ${rigs.length}">${headRow('', rigs, over)}<tbody>${groups}</tbody></table>`)}
  </section>`;
}

const NOTES = [
  'Travel is from home along one axis at a time, the others held, to the first stop. Use is the share of what a servo can give at that speed.',
  'How far a figure may be off: dimensions as the rig file says, else 0.5 mm and 0.5 deg, as plates are built; masses and servo figures as the file says, else 10 %. Each is off either way, and the worse counts; the effects of all are added as squares; what two files have alike is off in both alike.',
  'Height is that of home: from the plane of the base’s joints to that of the plate’s. “design” counts from the base plate’s face, which lies beneath the joints.',
  'Rods, plates and gears are taken as rigid: a real prop swings more slowly.',
];

/** The whole page as text; rigs in the order of the answer. */
export function renderCompareReport(rigs: readonly Rig[], answer: Comparison): string {
  const { rigs: names, stream } = answer;
  const title = `${together(names)} side by side`;
  return htmlPage(
    title,
    markup`<header>
        <h1>${title}</h1>
        <p class="lead">At home, from the right side, to one scale${stream === null ? '' : `; uses and currents along ${fileName(stream)}`}.</p>
        <div class="rigs">${pictures(rigs, names)}</div>
      </header>
      ${figuresSection(answer)} ${keysSection(answer)}
      <section id="rests"><h2>What it is based on</h2>${list(NOTES.map(kept))}${SAFETY}</section>`,
    styleOf(rigs.length),
  );
}
