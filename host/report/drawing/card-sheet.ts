/** The night card as one sheet of A5, for SVG and PDF. Sizes in mm. */
import { HOME, type Rig } from '../../rig/rig.ts';
import { type Card, SPARE, linesWords, titleWords } from '../../shows/card.ts';
import { READING, codeName } from '../../shows/light-words.ts';
import { BLINKS, blinkPath } from '../draw/blinks.ts';
import { type Markup, markup } from '../draw/markup.ts';
import { extentOf, propSide } from '../draw/prop.ts';
import { type Placed, drawingSvg } from '../draw/scene.ts';
import { widthOfText, wrap } from './notes.ts';
import { exact, text } from './patterns.ts';
import { SIZE } from './notes.ts';
import type { Sheet } from './sheet.ts';

const PAPER = { width: 148, height: 210 } as const;
const EDGE = 8;
const WIDE = PAPER.width - 2 * EDGE;
const LETTER = 2.55;
const LINE = 3.25;

const CARD_STYLE = `
text { font: ${String(LETTER)}px system-ui, -apple-system, "Segoe UI", Roboto, "Noto Sans", "Liberation Sans", sans-serif; fill: #000; }
.title { font-size: 5.6px; font-weight: 650; } .head { font-size: 3.3px; font-weight: 650; }
.code { font-size: 4.2px; font-weight: 650; } .then, .label { font-weight: 650; } .cell { font-size: 2.3px; }
.blink { fill: none; stroke: #000; stroke-width: 1.9; } .rule { stroke: #000; stroke-width: .12; fill: none; } .line { stroke: #000; stroke-width: .25; fill: none; }
path, ellipse { fill: none; stroke: #000; stroke-width: .25; }
circle { fill: #000; stroke: none; }
.body, .arm, .carrier { stroke: #999; } .plate { stroke-width: .6; } .crank { stroke-width: .5; }
.pivot { fill: #fff; stroke: #000; stroke-width: .3; }
`;

/** The drawing's notes allow for the widest of fonts; so much of that is what the usual ones take. */
const USUAL = 0.9;

/** Words in lines that fit so many mm. */
const linesIn = (words: string, mm: number): readonly string[] => wrap(words, (mm * SIZE) / LETTER / USUAL);

/** A paragraph from a base line down, and where the next one begins. */
function paragraph(words: string, x: number, y: number, mm: number, kind = ''): { svg: Markup; y: number } {
  const lines = linesIn(words, mm);
  return {
    svg: markup`${lines.map((line, i) => text(line, x, y + i * LINE, 'start', kind))}`,
    y: y + lines.length * LINE,
  };
}

/** Pieces that follow each other down the sheet. */
class Column {
  readonly pieces: Markup[] = [];
  y: number;

  constructor(y: number) {
    this.y = y;
  }

  head(words: string): void {
    this.y += 2;
    this.pieces.push(text(words, EDGE, this.y, 'start', 'head'));
    this.y += 4;
  }

  say(words: string, mm = WIDE, x = EDGE, kind = ''): void {
    const { svg, y } = paragraph(words, x, this.y, mm, kind);
    this.pieces.push(svg);
    this.y = y;
  }
}

function picture(rig: Rig, x: number, y: number, width: number, height: number): Markup {
  const drawings = propSide(
    rig,
    rig.joints.map(({ home }) => home),
    rig.platform ? HOME : null,
  );
  const extent = extentOf(drawings);
  const [across, up] = [Math.max(extent.x[1] - extent.x[0], 1), Math.max(extent.z[1] - extent.z[0], 1)];
  const scale = Math.min(width / across, height / up);
  const placed: Placed = {
    px_per_mm: scale,
    width,
    height,
    view: ([px, pz]) => [x + width - (extent.x[1] - px) * scale, y + (extent.z[1] - pz) * scale],
  };
  // Dots and pivots are drawn for a page, and large on this sheet.
  return markup`${drawings.filter(({ kind }) => kind !== 'dot').map((drawing) => drawingSvg(drawing, placed))}`;
}

function codesSvg(column: Column, codes: Card['codes']): void {
  const [pulses, words] = [EDGE + 11, EDGE + 40];
  const scale = 26 / BLINKS.width;
  for (const it of codes) {
    column.pieces.push(markup`<path class="rule" d="M${EDGE} ${exact(column.y - 2.7)}h${WIDE}"/>
      ${text(codeName(it), EDGE, column.y + 1.4, 'start', 'code')}
      <g transform="translate(${exact(pulses)} ${exact(column.y - 2.2)}) scale(${exact(scale)})"><path class="blink" d="${blinkPath(it)}"/></g>`);
    column.say(it.means, WIDE - 40, words);
    column.say(it.then, (WIDE - 40) * 0.9, words, 'then');
    column.y += 1;
  }
}

function lightSvg(column: Column, card: Card): void {
  if (card.codes.length === 0) return;
  column.head('The light');
  const where = linesWords(card);
  column.say(where === null ? READING : `${READING} The wires: ${where}`, WIDE);
  column.y += 2;
  codesSvg(column, card.codes);
}

/** Left edges of the columns: cable, joint, pin, connector, servo, rest, home, ends, range. */
const CELLS = [0, 9, 26, 39, 56, 73, 86, 96, 114];

function cablesSvg(column: Column, { joints }: Card): void {
  const row = (cells: readonly string[], kind: string): void => {
    const fit = (words: string, i: number): string => {
      const room = ((CELLS[i + 1] ?? WIDE) - (CELLS[i] ?? 0) - 1) * (SIZE / 2.3 / USUAL);
      let end = words.length;
      while (end > 1 && widthOfText(words.slice(0, end), SIZE) > room) end--;
      return end === words.length ? words : `${words.slice(0, end - 1)}…`;
    };
    column.pieces.push(
      markup`${cells.map((words, i) => text(fit(words, i), EDGE + (CELLS[i] ?? 0), column.y, 'start', kind))}`,
    );
    column.y += 3;
  };
  row(['cable', 'joint', 'pin', 'on board', 'servo', 'rest, µs', 'home', 'ends', 'range'], 'cell label');
  for (const { label, joint, pin, connector, servo, rest_us, home_us, ends_us, ends } of joints)
    row(
      [label, joint, pin, connector, servo, String(rest_us), String(home_us), ends_us.map(String).join('–'), ends],
      'cell',
    );
}

/** The sheet; its words are the page's. */
export function cardSheet(rig: Rig, card: Card): Sheet {
  const column = new Column(EDGE + 5);
  const [name = ''] = wrap(card.rig, 360);
  column.pieces.push(text(name, EDGE, column.y, 'start', 'title'));
  column.y += 6;
  column.say(titleWords(card), WIDE - 50);
  for (const blank of ['The maker:', 'The stop is here:', 'The supply’s switch:']) {
    column.y += 2.2;
    column.pieces.push(
      markup`${text(blank, EDGE, column.y, 'start')}<path class="line" d="M${EDGE + 26} ${exact(column.y + 0.6)}h56"/>`,
    );
    column.y += LINE;
  }
  lightSvg(column, card);
  if (card.button.length > 0) column.head('The button');
  for (const words of card.button) column.say(words);
  column.head('The stop');
  column.say(card.stop.join(' '));
  column.head('Cautions');
  for (const words of card.cautions) column.say(`• ${words}`);
  column.head('Cables, and a spare servo’s pulses');
  column.say(SPARE);
  column.y += 1;
  cablesSvg(column, card);
  return onPaper(column, picture(rig, PAPER.width - EDGE - 46, EDGE, 46, 32));
}

/** What is longer than the sheet is drawn smaller, so that it stays one. */
function onPaper(column: Column, drawn: Markup): Sheet {
  const { width, height } = PAPER;
  const scale = Math.min(1, (height - EDGE) / column.y);
  const inside = markup`<g transform="translate(${exact(((1 - scale) * width) / 2)} 0) scale(${exact(scale)})">${drawn}${column.pieces}</g>`;
  const style: Markup = { markup: CARD_STYLE };
  const svg = markup`<svg xmlns="http://www.w3.org/2000/svg" width="${width}mm" height="${height}mm" viewBox="0 0 ${width} ${height}">
    <style>@page { size: ${width}mm ${height}mm; margin: 0; }${style}</style>
    <rect width="${width}" height="${height}" fill="#fff"/>
    ${inside}
  </svg>
`;
  return { paper: 'A5', shows: ['night card'], text: svg.markup, width, height, inside: inside.markup };
}
