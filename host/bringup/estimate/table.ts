/**
 * A table of measurements, CSV: what the servos were given (leg1_us … leg6_us), and what was read: of the plate (height_mm, tilt_x_deg …),
 * or of a leg (leg1_deg, an actuator's leg1_mm). A cell may be empty; `#` lines are comments. Knows nothing of geometry.
 */
import type { Problem } from '../../rig/problem.ts';
import type { Joint, Rig } from '../../rig/rig.ts';
import { unknownKey } from '../../rig/unknown-key.ts';
import { counted, found, short, together } from '../../rig/words.ts';
import { ProblemList } from '../../stream/problem.ts';
import { type RowSink, RowReader } from '../../stream/rows.ts';
import { type Points, READING_NAMES, type ReadingName } from './readings.ts';

export interface TableRow {
  /** In the file, counted from 1; of readings that were typed in, the number of the pose. */
  readonly line: number;
  /** leg1 … leg6, µs; NaN: not given. */
  readonly pulses_us: readonly number[];
  readonly plate: readonly { readonly name: ReadingName; readonly value: number }[];
  /** leg1 … leg6, deg or mm; NaN: not read. */
  readonly legs: readonly number[];
}

export interface TableReading {
  /** Null: there are errors among the problems. */
  readonly rows: readonly TableRow[] | null;
  readonly problems: readonly Problem[];
}

const LARGEST_MM = 10_000;

/** @param points where h1_mm … h3_mm are measured; such a column needs its own. */
export function readTable(text: string, rig: Rig, points: Points = {}): TableReading {
  const reader = new TableReader(rig, points);
  const rows = new RowReader(reader);
  rows.push(new TextEncoder().encode(text));
  rows.end();
  return reader.result();
}

/** Readings as such a table, which `readTable` reads again. */
export function tableText(rig: Rig, rows: readonly TableRow[]): string {
  const legs = rig.joints.filter(({ kind }) => kind === 'leg').map(({ name }) => `${name}_us`);
  const names = READING_NAMES.filter((name) => rows.some(({ plate }) => plate.some((it) => it.name === name)));
  const lines = rows.map(({ pulses_us, plate }) =>
    [...pulses_us, ...names.map((name) => plate.find((it) => it.name === name)?.value ?? '')].join(','),
  );
  return [`# ${rig.name}: pulses, and what was read at them`, [...legs, ...names].join(','), ...lines, ''].join('\n');
}

class TableReader implements RowSink {
  private readonly problems = new ProblemList();
  private readonly rows: TableRow[] = [];
  private readonly legs: readonly Joint[];
  private readonly legColumns: readonly string[];
  private readonly known: readonly string[];
  private readonly points: Points;
  private columns: readonly string[] | null = null;

  constructor(rig: Rig, points: Points) {
    this.points = points;
    this.legs = rig.joints.filter(({ kind }) => kind === 'leg');
    this.legColumns = this.legs.map(({ name, unit }) => `${name}_${unit}`);
    this.known = [...this.legs.map(({ name }) => `${name}_us`), ...READING_NAMES, ...this.legColumns];
  }

  header(cells: readonly string[], line: number): number {
    const names = cells.map((cell) => cell.trim());
    if (names.length === 1 && /[;\t]/.test(names[0] ?? ''))
      this.problems.add(
        'row',
        line,
        'columns are separated by semicolons or tabs here: export the file with commas, and points in numbers',
      );
    else names.forEach((name, k) => this.checkName(name, names.indexOf(name) < k, line));
    this.columns = names;
    return this.problems.errors > 0 ? 0 : names.length;
  }

  private checkName(name: string, isTwice: boolean, line: number): void {
    const wrong = isTwice
      ? `${name} stands twice in the header`
      : !this.known.includes(name)
        ? unknownKey(name, this.known).replace('unknown key', 'unknown column').replace('known key', 'known column')
        : /^h\d_mm$/.test(name) && !this.points[name as ReadingName]
          ? `${name} is the height of a point that is not told: give ${name.slice(0, 2)}=x,y,z, in mm in the moving plate’s frame`
          : null;
    if (wrong !== null) this.problems.add(name || 'row', line, wrong);
  }

  plain(values: Float64Array, count: number, line: number): void {
    this.row(Array.from(values.subarray(0, count)), line);
  }

  other(cells: readonly string[], line: number): void {
    const values = cells.map((cell, k) => {
      const text = cell.trim();
      if (text === '') return NaN;
      const value = Number(text);
      if (!Number.isFinite(value))
        this.bad(k, line, `found ${found(text)}; allowed: a number, or nothing where it was not read`);
      return value;
    });
    this.row(values, line);
  }

  unclosed(line: number): void {
    this.problems.add('row', line, 'a cell begins with a quotation mark and does not end with one');
  }

  endless(line: number): void {
    this.problems.add('row', line, 'the line does not end: is this a CSV file?');
  }

  private bad(column: number, line: number, words: string): void {
    const name = this.columns?.[column] ?? 'row';
    this.problems.add(name, line, `${name}: ${words}`);
  }

  private row(values: readonly number[], line: number): void {
    const columns = this.columns ?? [];
    if (values.length !== columns.length) {
      const words = `the row has ${counted(values.length, 'cell')}, and the header has ${String(columns.length)}`;
      return this.problems.add('row', line, words);
    }
    values.forEach((value, k) => this.checkSize(columns[k]!, value, k, line));
    const of = (name: string): number => values[columns.indexOf(name)] ?? NaN;
    const row: TableRow = {
      line,
      pulses_us: this.legs.map(({ name }) => of(`${name}_us`)),
      plate: READING_NAMES.map((name) => ({ name, value: of(name) })).filter(({ value }) => !Number.isNaN(value)),
      legs: this.legColumns.map(of),
    };
    this.checkWhole(row);
    this.rows.push(row);
  }

  private checkSize(name: string, value: number, k: number, line: number): void {
    if (Number.isNaN(value)) return;
    const leg = this.legs.find((joint) => name === `${joint.name}_us`);
    if (leg) {
      const [least, most] = leg.range_us;
      if (!(value >= least && value <= most))
        this.bad(
          k,
          line,
          `found ${short(value, 2)} µs; allowed: ${short(least)} to ${short(most)} µs, the servo’s range_us`,
        );
      return;
    }
    const most = name.startsWith('tilt') ? 90 : name.endsWith('_deg') ? 360 : LARGEST_MM;
    if (!(Math.abs(value) <= most))
      this.bad(k, line, `found ${short(value, 2)}; allowed: ${String(-most)} to ${String(most)}`);
  }

  /** A reading of the plate needs all six pulses, one of a leg that leg's. */
  private checkWhole({ line, pulses_us, plate, legs }: TableRow): void {
    const isRead = plate.length > 0;
    const missing = this.legs.filter((_, i) => Number.isNaN(pulses_us[i]) && (isRead || !Number.isNaN(legs[i])));
    const names = missing.map(({ name }) => `${name}_us`);
    if (names.length > 0) this.problems.add(names[0]!, line, `the row has readings, and lacks ${together(names)}`);
    else if (!isRead && legs.every(Number.isNaN))
      this.problems.add('row', line, 'the row has pulses, and nothing was read');
  }

  result(): TableReading {
    if (this.columns === null)
      this.problems.add(
        'file',
        0,
        'the file is empty; its first line is to name the columns, such as leg1_us,…,leg6_us,height_mm,tilt_x_deg,tilt_y_deg',
      );
    else if (this.rows.length === 0 && this.problems.errors === 0)
      this.problems.add('file', 0, 'the table has no rows');
    return { rows: this.problems.errors > 0 ? null : this.rows, problems: this.problems.takeLast() };
  }
}
