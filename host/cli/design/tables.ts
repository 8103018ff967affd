/** The designs as tables of figures and of parts for a terminal: what was asked on top, and what all have alike in a line. */
import type { Answer } from '../../design/answer.ts';
import { asBuiltPercent } from '../../design/as-built.ts';
import type { Shown } from '../../design/shown.ts';
import { pricedWords, toBuy } from '../../design/to-buy.ts';
import { toDeg } from '../../rig/rig.ts';
import { short } from '../../rig/words.ts';
import { table } from '../output.ts';

export const percent = (share: number | null): string => (share === null ? '' : `${short(100 * share, 0)} %`);
export const grouped = (n: number): string => String(n).replace(/\B(?=(\d{3})+$)/g, ',');
export const nameOf = ({ file }: Shown): string => file.replace(/\.yaml$/, '');

/** A column: what was asked of it, and its value for each design. */
interface Column {
  readonly head: string;
  readonly asked: string;
  readonly values: readonly string[];
  /** In the line of what all have alike, in place of head and value. */
  readonly alike?: string;
}

/** Two tables, what each does and what is bought or made for each, and the line of what is alike. */
export function tables(answer: Answer): string {
  const { shown } = answer.front;
  const names = shown.map(nameOf);
  const [does, made] = [figureColumns(answer), partColumns(answer)].map((columns) =>
    columns.filter(({ values }) => values.some((value) => value !== '')),
  ) as [Column[], Column[]];
  const isSame = ({ values }: Column): boolean => values.length > 1 && values.every((value) => value === values[0]);
  const alike = [...does, ...made].filter(isSame);
  const own = [does, made].map((columns) => columns.filter((column) => !isSame(column)));
  const drawn = own.filter((columns) => columns.length > 0).map((columns) => drawnTable(names, columns));
  const line = alike.map(({ head, values, alike: words }) => words ?? `${head} ${values[0]!}`).join(', ');
  return [...drawn, ...(line === '' ? [] : [`all: ${line}`])].join('\n\n');
}

function drawnTable(names: readonly string[], columns: readonly Column[]): string {
  const rows = names.map((name, i) => [name, ...columns.map(({ values }) => values[i]!)]);
  const asked = columns.some((column) => column.asked !== '')
    ? [['asked', ...columns.map((column) => column.asked)]]
    : [];
  return table([{ head: 'design', align: 'left' }, ...columns.map(({ head }) => ({ head }))], [...asked, ...rows]);
}

/** Both ways: `±19.4` where they are the same to a tenth. */
function waysWords(minus: number, plus: number): string {
  const [low, high] = [short(minus), short(plus)];
  return low === `-${high}` ? `±${high}` : `${low} … ${high}`;
}

function figureColumns(answer: Answer): Column[] {
  const { subject, front } = answer;
  const { must, firm } = subject.want;
  const { shown } = front;
  const of = (head: string, asked: string, value: (own: Shown) => string): Column => ({
    head,
    asked,
    values: shown.map(value),
  });
  const moves = must.follow !== null;
  return [
    ...travelColumns(answer),
    of('travel', '', ({ travel_share, least_axis }) => `${percent(travel_share)} ${least_axis ?? ''}`.trim()),
    of('as built', '', asBuiltPercent),
    of('torque used', `≤ ${percent(moves ? firm.use : firm.hold_use)}`, ({ judged }) =>
      percent(judged.torque_used.use),
    ),
    of('holding', `≤ ${percent(firm.hold_use)}`, ({ judged }) => (moves ? percent(judged.hold_use) : '')),
    of(
      'lowest',
      firm.lowest_hz > 0 ? `≥ ${short(firm.lowest_hz)} Hz` : '',
      ({ judged }) => `${short(judged.lowest_hz)} Hz`,
    ),
  ];
}

/** Of the axes that something was asked of; without such, all. */
function travelColumns({ subject: { want }, front: { shown } }: Answer): Column[] {
  const asked = want.must.travel.map(({ minus, plus }, k) => {
    const shownAs = (by: number): number => (k < 3 ? by : toDeg(by));
    return minus < 0 || plus > 0 ? waysWords(shownAs(minus), shownAs(plus)) : '';
  });
  const isAny = asked.some((words) => words !== '');
  return shown[0]!.judged.travel.flatMap(({ axis, unit }, k): Column[] => {
    if (isAny && asked[k] === '') return [];
    const values = shown.map(({ judged }) => waysWords(judged.travel[k]!.minus, judged.travel[k]!.plus));
    return [{ head: `${axis} ${unit}`, asked: asked[k]!, values }];
  });
}

function partColumns({ subject: { want }, front: { shown, before_nm } }: Answer): Column[] {
  const bought = shown.map((own) => toBuy(want, own, before_nm));
  const of = (head: string, values: readonly string[], asked = ''): Column => ({ head, asked, values });
  const servos = bought.map(({ servo }) => servo);
  const { room } = want;
  const most = [room.base_radius_mm, room.plate_radius_mm, room.height_mm].map((mm) => short(mm)).join('/');
  return [
    of(
      'crank',
      bought.map(({ crank }) => crank),
    ),
    of(
      'rod',
      bought.map(({ rod }) => rod),
    ),
    { head: 'servos', asked: '', values: servos, alike: servos[0]! },
    ...bought[0]!.axes.flatMap(({ joint }, k) => [
      of(
        `${joint} counterweight`,
        bought.map(({ axes }) => axes[k]!.counterweight),
      ),
      of(
        `${joint} gear`,
        bought.map(({ axes }) => axes[k]!.gear),
      ),
      of(
        `${joint} servo`,
        bought.map(({ axes }) => axes[k]!.servo),
      ),
      of(
        `${joint} holds`,
        bought.map(({ axes }) => axes[k]!.holds),
        mostWords(want.axes[k]?.most_nm ?? null),
      ),
    ]),
    of(
      pricedWords(want),
      shown.map(({ judged: { price } }) => (price === null ? '' : short(price, 2))),
    ),
    of(
      'base/plate/height mm',
      shown.map(({ judged: { size_mm } }) =>
        [size_mm.base_radius, size_mm.plate_radius, size_mm.height].map((mm) => short(mm)).join('/'),
      ),
      most,
    ),
    of(
      'cylinder',
      shown.map(({ volume_cm3 }) => `${grouped(Math.round(volume_cm3))} cm³`),
    ),
  ];
}

const mostWords = (most_nm: number | null): string => (most_nm === null ? '' : `≤ ${most_nm.toFixed(2)} N·m`);
