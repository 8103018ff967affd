/**
 * The circuit of a rig as one drawing: supply, main fuse and switches along the top, the board's pins down the left side, a row for
 * each, and the common ground down the right side. Wires run straight; where they cross without a dot they do not touch.
 */
import type { Run, ServoRun, WiringAnswer } from '../../wiring/result.ts';
import { FED_AT } from '../../wiring/pins.ts';
import { PULL_DOWN_KOHM } from '../../wiring/parts.ts';
import { type Markup, markup } from './markup.ts';
import { label, px } from './svg.ts';
import {
  type Colour,
  battery,
  box,
  breakContact,
  capacitor,
  converter,
  diodeLeft,
  dot,
  fuse,
  ground,
  makeContact,
  motor,
  pullDown,
  resistor,
  wire,
} from './wiring-symbols.ts';

const WIDTH = 760;
/** Top rails: 0 V and +; the board's right side; X1 and X2; the motors. */
const [ZERO, PLUS, PINS, X1, X2, MOTOR] = [40, 124, 110, 320, 700, 560] as const;
const FIRST = 200;
const ROW = 74;

const size = (mm2: number | null): string => (mm2 === null ? '? mm²' : `${String(mm2)} mm²`);
const amperes = (a: number | null): string => (a === null ? '? A' : `${String(a)} A`);
const along = (label_: string, colour: Colour, run: Pick<Run, 'mm2'>): string => `${label_} ${colour} ${size(run.mm2)}`;

/** A long name would run into its neighbours; the table has it whole. */
const brief = (name: string): string => (name.length > 16 ? `${name.slice(0, 15)}…` : name);

/** A pin's name on the board's right side. Each stands in the drawing once. */
const pin = (name: string, y: number): Markup =>
  markup`<text class="pin" data-pin="${name}" x="${PINS - 8}" y="${y + 4}" text-anchor="end">${name}</text>`;

/** A row of the drawing, by its middle. */
type Draw = (y: number) => Markup;

const servoRow =
  (run: ServoRun, n: number): Draw =>
  (y) => {
    const [up, down] = [y - 10, y + 10];
    const pull = PINS + 46;
    return markup`<g class="row">
      ${wire('OG', [PINS, down], [MOTOR - 14, down])}${pin(run.pin_name, down)}
      ${label(`${run.label} OG 0.14 mm²`, X1 - 10, down - 5, 'end')}
      ${pullDown(pull, down, `R${String(n)}`, `${String(PULL_DOWN_KOHM)} kΩ`)}
      ${wire('RD', [X1, up], [MOTOR, up])}${dot(X1, up)}
      ${fuse(X1 + 18, up, `F${String(n)}`, '')}${label(amperes(run.fuse_a), X1 + 64, up - 5, 'start')}
      ${label(along(run.label, 'RD', run), MOTOR - 26, up - 5, 'end')}
      ${wire('BK', [MOTOR, y], [X2, y])}${dot(X2, y)}${label(along(run.label, 'BK', run), MOTOR + 20, y + 15, 'start')}
      ${motor(MOTOR, y)}${label(`${brief(run.joint)} · ${brief(run.servo)}`, MOTOR - 26, y + 28, 'end', 'name')}
    </g>`;
  };

const powerRow =
  (name: string): Draw =>
  (y) => markup`<g class="row">
    ${wire('WH', [PINS, y], [X1 - 75, y])}${pin(name, y)}
    ${pullDown(PINS + 20, y, 'R0', `${String(PULL_DOWN_KOHM)} kΩ`)}
    ${box(X1 - 115, y - 14, 80, 34, ['driver', 'of Q1'])}
    <path class="works" d="M${px(X1 - 75)} ${px(y - 14)}V${px(PLUS - 6)}"/>
  </g>`;

const stopRow =
  (name: string, category: number): Draw =>
  (y) => markup`<g class="row">
    ${wire('YE', [PINS, y], [X2, y])}${pin(name, y)}${dot(X2, y)}
    ${breakContact(X1 + 18, y, 'S1')}
    ${label('stop loop YE 0.5 mm²', X1 - 10, y - 5, 'end')}
    ${label(`closed while it may run; category ${String(category)}`, X1 + 80, y - 5, 'start')}
  </g>`;

const measureRow =
  ({ pin_name, upper_kohm, lower_kohm }: NonNullable<WiringAnswer['measure']>): Draw =>
  (y) => markup`<g class="row">
    ${wire('WH', [PINS, y], [X1 + 150, y])}${pin(pin_name, y)}
    ${pullDown(PINS + 46, y, 'R21', `${String(lower_kohm)} kΩ, C2 100 nF across`)}
    ${resistor(X1 + 18, y, `R20 ${String(upper_kohm)} kΩ`)}
    ${label('to + before Q1, behind F0', X1 + 156, y + 4, 'start')}
  </g>`;

const feedRow =
  (name: string): Draw =>
  (y) => markup`<g class="row">
    ${wire('RD', [PINS, y], [480, y])}${wire('BK', [480, y + 10], [X2, y + 10])}${dot(X2, y + 10)}
    ${pin(name, y)}${diodeLeft(X1 + 18, y, 'V1')}${label('RD 0.5 mm²', X1 - 10, y - 5, 'end')}
    ${box(450, y - 16, 110, 34, ['G2', '5 V, of its own'])}
  </g>`;

const groundRow: Draw = (y) => markup`<g class="row">
  ${wire('BK', [PINS, y], [X2, y])}${pin('GND', y)}${dot(X2, y)}
  ${label('common ground BK 0.5 mm²', X1 - 10, y - 5, 'end')}${wire('BK', [PINS + 46, y], [PINS + 46, y + 12])}${dot(PINS + 46, y)}${ground(PINS + 46, y + 12)}
</g>`;

const linkRow =
  (link: string): Draw =>
  (y) => markup`<g class="row">
    <path class="works" d="M${PINS} ${px(y)}H450"/>${pin(link, y)}${box(450, y - 16, 110, 34, ['computer', 'on its own supply'])}
    ${label(link === 'usb' ? '5 V only with V1; else cut it' : 'send, receive, ground', PINS + 60, y - 6, 'start')}
  </g>`;

function rowsOf(answer: WiringAnswer): Draw[] {
  const { power, stop, measure, servos, board, link } = answer;
  return [
    ...(power ? [powerRow(power.pin_name)] : []),
    ...servos.map((run, i) => servoRow(run, i + 1)),
    ...(stop ? [stopRow(stop.pin_name, stop.category)] : []),
    ...(measure ? [measureRow(measure)] : []),
    feedRow(FED_AT[board]?.pin ?? '5 V'),
    groundRow,
    linkRow(link),
  ];
}

function rails({ supply, trunk, power, capacitor: c }: WiringAnswer): Markup {
  const volts = supply.voltage_v === null ? '? V' : `${String(supply.voltage_v)} V`;
  const rated = c.volts === null ? '? V' : `${String(c.volts)} V`;
  return markup`<g class="rails">
    ${wire('RD', [50, PLUS - 12], [50, PLUS], [480, PLUS])}${wire('BK', [50, ZERO + 12], [50, ZERO], [X2, ZERO])}
    ${supply.kind === 'battery' ? battery(50, ZERO, PLUS) : converter(50, ZERO, PLUS)}
    ${label(`G1 ${volts}`, 74, 78, 'start', 'name')}${label(supply.kind, 74, 93, 'start')}
    ${label('–', 38, ZERO + 14, 'middle')}${label('+', 38, PLUS - 4, 'middle')}
    ${fuse(84, PLUS, 'F0', amperes(trunk.fuse_a))}${makeContact(165, PLUS, 'S0')}
    ${power ? makeContact(X1 - 95, PLUS, 'Q1') : null}
    ${label(along('W0', 'RD', trunk), 140, PLUS + 19, 'start')}${label(along('W0', 'BK', trunk), 140, ZERO - 6, 'start')}
    ${wire('RD', [480, PLUS], [480, (PLUS + ZERO) / 2])}${wire('BK', [480, (PLUS + ZERO) / 2], [480, ZERO])}
    ${capacitor(480, (PLUS + ZERO) / 2)}${label(`C1 ${String(c.uf)} µF`, 500, 78, 'start', 'name')}${label(rated, 500, 93, 'start')}
    ${dot(480, ZERO)}${dot(X1, PLUS)}${dot(X2, ZERO)}
    ${label('X1 star point +', X1 + 8, PLUS - 7, 'start', 'name')}${label('X2 star point 0 V', X2 + 44, ZERO - 12, 'end', 'name')}
  </g>`;
}

/** The whole drawing. */
export function wiringDiagram(answer: WiringAnswer): Markup {
  const rows = rowsOf(answer);
  const at = (i: number): number => FIRST + ROW * i;
  const firstServo = answer.power ? 1 : 0;
  const bottom = at(rows.length - 1);
  const lastServo = at(firstServo + answer.servos.length - 1);
  return markup`<svg class="wiring" viewBox="0 0 ${WIDTH} ${bottom + 50}" role="img" aria-label="Circuit diagram of ${answer.rig}; the tables say the same in words">
    ${wire('RD', [X1, PLUS], [X1, lastServo - 10])}${wire('BK', [X2, ZERO], [X2, at(rows.length - 2)])}
    <rect class="board" x="12" y="${FIRST - 40}" width="${PINS - 12}" height="${bottom - FIRST + 70}"/>
    ${label(answer.board, 61, FIRST - 22, 'middle', 'name')}
    ${rails(answer)}${rows.map((row, i) => row(at(i)))}
  </svg>`;
}
