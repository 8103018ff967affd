/**
 * A pose stream's bytes to frames, checked as they pass: numbers, times and steps, each fault with its line. Knows nothing of
 * where the bytes come from.
 */
import type { Problem } from '../rig/problem.ts';
import type { Pose } from '../rig/rig.ts';
import type { Column, StreamRig } from './columns.ts';
import { FIRST_JOINT_SLOT, readHeader, streamJoints } from './columns.ts';
import { readNumber } from './decimal.ts';
import { type Pause, PauseWatch } from './pauses.ts';
import { ProblemList } from './problem.ts';
import { RowReader } from './rows.ts';
import { ShakeWatch } from './shaking.ts';

/** One row of a stream. */
export interface Frame {
  readonly t_s: number;
  /** mm and rad; components without a column are 0. */
  readonly pose: Pose;
  /** rad; the rig's joints but the legs, in the rig's order (`streamJoints`); NaN: no column, leave it. Not to be written. */
  readonly joints: Float64Array;
}

/** What a piece of a stream brought: bad rows are in `problems` and not in `frames`. */
export interface StreamBatch {
  readonly frames: readonly Frame[];
  readonly problems: readonly Problem[];
}

/** Between two frames an angle may not step further: it would be a wrap at 180 degrees, or a lost piece of the recording. */
export const LARGEST_STEP_DEG = 90;

/** No prop moves a kilometre or a million degrees; beyond 1e38 single precision would not hold it. */
export const LARGEST = 1e6;
/** Seconds whose microseconds an f64 still counts one by one (2^53), enough for seconds since 1970. */
const LARGEST_S = 9e9;

/** Times on the link are microseconds that wrap, and beyond half an hour from now they are not told apart. */
const LONGEST_GAP_S = 1800;

/** Pauses named one by one. */
const PAUSES_TOLD = 3;

const seconds = (value: number): string => `${Number(value.toFixed(2))} s`;

/** Takes the bytes of one stream, in chunks of any size. After the first error it goes on checking, and yields no frames. */
export class StreamParser {
  private readonly rig: StreamRig;
  private readonly problems = new ProblemList();
  private readonly watch = new PauseWatch();
  private shakeWatch = new ShakeWatch(0);
  private readonly reader: RowReader;
  private frames: Frame[] = [];
  private hasFrames = false;
  private header: Header | null = null;
  /** Last number seen in each column, file units, and the line of the last row; NaN: none yet. */
  private last = new Float64Array(0);
  private lastLine = 0;
  /** The row at hand by slots (see Column). */
  private readonly slots: Float64Array;
  private readonly leaveAll: Float64Array;

  constructor(rig: StreamRig) {
    this.rig = rig;
    this.slots = new Float64Array(FIRST_JOINT_SLOT + streamJoints(rig).length).fill(NaN, FIRST_JOINT_SLOT);
    this.leaveAll = this.slots.slice(FIRST_JOINT_SLOT);
    this.reader = new RowReader({
      header: (cells, line) => this.onHeader(cells, line),
      plain: (values, count, line) => this.onRow(values, count, line),
      other: (cells, line) => this.onText(cells, line),
      unclosed: (line) =>
        this.problems.add(
          'row',
          line,
          'a quoted cell does not end with its quote: cells stand between two " or without any',
        ),
      endless: (line) => this.problems.add('file', line, 'this line does not end: the file is no pose stream'),
    });
  }

  /** Names of the columns, once the header has passed. */
  get columns(): readonly string[] {
    return this.header === null ? [] : this.header.columns.map((column) => column.name);
  }

  /** Long times without a frame, known at the end. */
  get pauses(): readonly Pause[] {
    return this.watch.found();
  }

  /** Names of the columns that shake from frame to frame, known at the end. */
  get shaking(): readonly string[] {
    const columns = this.header?.columns ?? [];
    return this.shakeWatch.found().flatMap((k) => (columns[k]!.slot > 0 ? [columns[k]!.name] : []));
  }

  /** Whether the rest would not be read: it is no pose stream. */
  get stopped(): boolean {
    return this.reader.stopped;
  }

  push(chunk: Uint8Array): StreamBatch {
    this.reader.push(chunk);
    return { frames: this.takeFrames(), problems: this.problems.take() };
  }

  /** After the last chunk: the last row, and what is wrong with the whole. */
  end(): StreamBatch {
    this.reader.end();
    const frames = this.takeFrames();
    if (this.problems.errors === 0 && this.header === null) {
      this.problems.add('file', 0, 'the stream is empty: it needs a header such as t_s,x_mm,yaw_deg and rows below it');
    } else if (this.problems.errors === 0 && !this.hasFrames) {
      this.problems.add('file', this.reader.lines, 'the stream has a header and no row below it');
    }
    if (this.problems.errors === 0) this.tellPauses();
    return { frames, problems: this.problems.takeLast() };
  }

  private tellPauses(): void {
    const [...pauses] = this.pauses;
    const more = pauses.splice(PAUSES_TOLD).length;
    pauses.forEach(({ from_s, to_s, line, moves }, k) => {
      const others =
        more > 0 && k === pauses.length - 1 ? `; and so ${more} ${more === 1 ? 'time' : 'times'} more` : '';
      const does = moves ? 'it creeps from one frame to the next' : 'it stands still';
      const message =
        `nothing is asked between ${seconds(from_s)} and ${seconds(to_s)}: for ${seconds(to_s - from_s)} ${does}; ` +
        `is a piece missing, or did a clock jump?${others}`;
      this.problems.add('t_s', line, message, 'warning');
    });
  }

  private takeFrames(): Frame[] {
    const taken = this.frames;
    this.frames = [];
    return taken;
  }

  private onHeader(cells: readonly string[], line: number): number {
    const columns = readHeader(cells, line, this.rig, this.problems);
    if (columns === null) return 0;
    const used = [...columns.keys()].filter((index) => columns[index]!.slot >= 0);
    this.header = {
      columns,
      used,
      timeAt: columns.findIndex((column) => column.slot === 0),
      anglesAt: used.filter((index) => columns[index]!.isAngle),
      hasJoints: columns.some((column) => column.slot >= FIRST_JOINT_SLOT),
    };
    this.last = new Float64Array(columns.length).fill(NaN);
    this.shakeWatch = new ShakeWatch(columns.length);
    return columns.length;
  }

  /** A row that is not all plain numbers: reads what can be read, names the rest. */
  private onText(cells: readonly string[], line: number): void {
    const { columns } = this.header!;
    const values = new Float64Array(columns.length).fill(NaN);
    if (cells.length === columns.length) {
      columns.forEach(({ name, slot }, index) => {
        const value = readNumber(cells[index]!);
        if (typeof value === 'number') values[index] = value;
        else if (slot >= 0) this.problems.add(name, line, `${name} ${value}`);
      });
    }
    this.onRow(values, cells.length, line);
  }

  /** A row in file units; NaN where a fault has been named already, or where nobody looks. */
  private onRow(values: Float64Array, count: number, line: number): void {
    const header = this.header!;
    const width = header.columns.length;
    if (count !== width) {
      const size = count < width ? 'short' : 'long';
      this.problems.add('row', line, `the row is too ${size}: ${count} cells, where the header has ${width}`);
      return;
    }
    const [t_s, before_s] = [values[header.timeAt]!, this.last[header.timeAt]!];
    this.checkTime(t_s, before_s, line);
    this.watch.add(before_s, t_s, line, () => this.differs(header.timeAt, values));
    this.shakeWatch.add(t_s, values);
    for (const index of header.anglesAt)
      this.checkStep(header.columns[index]!.name, values[index]!, this.last[index]!, line);
    for (let index = 0; index < width; index += 1) {
      const value = values[index]!;
      if (Number.isNaN(value)) continue;
      this.last[index] = value;
      if (Math.abs(value) > LARGEST) this.checkSize(header, index, value, line);
    }
    this.lastLine = line;
    if (this.problems.errors === 0) this.frames.push(this.frame(values, header));
  }

  /** Whether a row asks for another place than the row before: NaN asks for nothing. */
  private differs(timeAt: number, values: ArrayLike<number>): boolean {
    return this.last.some((before, k) => {
      const value = values[k] ?? NaN;
      return k !== timeAt && !Number.isNaN(value) && value !== before;
    });
  }

  /** NaN, of a time or of the one before, passes: it has been named. */
  private checkTime(t_s: number, before_s: number, line: number): void {
    if (t_s <= before_s) {
      const message = `t_s is ${t_s} s, and line ${this.lastLine} has ${before_s} s already: times must increase`;
      this.problems.add('t_s', line, message);
    } else if (t_s - before_s < 1.5e-6 && Math.round(t_s * 1e6) === Math.round(before_s * 1e6)) {
      const message = `t_s is ${t_s}, less than a microsecond after line ${this.lastLine}: the link counts microseconds`;
      this.problems.add('t_s', line, message);
    } else if (t_s - before_s > LONGEST_GAP_S) {
      const message =
        `t_s is ${t_s}, ${Number((t_s - before_s).toPrecision(6))} s after line ${this.lastLine}, ` +
        `and ${LONGEST_GAP_S} s is the most: are these times in seconds?`;
      this.problems.add('t_s', line, message);
    }
  }

  private checkSize({ columns, timeAt }: Header, index: number, value: number, line: number): void {
    const { name, slot } = columns[index]!;
    const most = index === timeAt ? LARGEST_S : LARGEST;
    if (slot < 0 || Math.abs(value) <= most) return;
    const unit = name.slice(name.lastIndexOf('_') + 1);
    this.problems.add(name, line, `${name} is ${value} ${unit}, and ${most} ${unit} is the most`);
  }

  private checkStep(name: string, angle_deg: number, before_deg: number, line: number): void {
    const step_deg = Math.abs(angle_deg - before_deg);
    if (!(step_deg > LARGEST_STEP_DEG)) return;
    const message =
      `${name} steps by ${Number(step_deg.toPrecision(4))} degrees from line ${this.lastLine}, ` +
      `and ${LARGEST_STEP_DEG} is the most: is it a wrap at 180 degrees, or a lost piece?`;
    this.problems.add(name, line, message);
  }

  private frame(values: Float64Array, { columns, used, hasJoints }: Header): Frame {
    const { slots } = this;
    for (const index of used) slots[columns[index]!.slot] = values[index]! * columns[index]!.scale;
    this.hasFrames = true;
    return {
      t_s: slots[0]!,
      pose: [slots[1]!, slots[2]!, slots[3]!, slots[4]!, slots[5]!, slots[6]!],
      // Without joint columns all frames share one row of NaN.
      joints: hasJoints ? slots.slice(FIRST_JOINT_SLOT) : this.leaveAll,
    };
  }
}

/** The header, and what a row is asked for over and over. */
interface Header {
  readonly columns: readonly Column[];
  /** Columns that mean something, the time's, and those in degrees, by index. */
  readonly used: readonly number[];
  readonly timeAt: number;
  readonly anglesAt: readonly number[];
  readonly hasJoints: boolean;
}
