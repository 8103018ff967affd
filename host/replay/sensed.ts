/**
 * What the rig's inputs are while a stream is played, from a CSV file: `t_s`, then a column for each input that it names, 0 or 1 (closed
 * to ground), and for each analog one, 0 to 1 of full scale. A row holds until the next; before the first one all are open, and 0.
 */
import Papa from 'papaparse';
import type { Senses } from '../rig/senses.ts';

export interface Sensed {
  readonly closed: number;
  readonly analog: readonly number[];
}

export interface SensedFault {
  readonly line: number;
  readonly message: string;
}

/** Inputs over time. */
export class SensedRows {
  /** The session's instant of the stream's time 0, us. */
  zero_us = Infinity;
  private next = 0;
  private now: Sensed = { closed: 0, analog: [0, 0, 0, 0] };
  private readonly rows: readonly (Sensed & { readonly t_s: number })[];

  constructor(rows: readonly (Sensed & { readonly t_s: number })[]) {
    this.rows = rows;
  }

  /** At an instant of the session; instants never go back. */
  at(at_us: number): Sensed {
    const t_s = (at_us - this.zero_us) / 1e6;
    for (let row = this.rows[this.next]; row && row.t_s <= t_s; row = this.rows[this.next]) {
      this.now = row;
      this.next++;
    }
    return this.now;
  }
}

const FULL_SCALE = 65535;

/** The rows of a file, or all that is wrong with it. */
export function readSensed(text: string, senses: Senses): SensedRows | readonly SensedFault[] {
  const { data } = Papa.parse<string[]>(text, { delimiter: ',' });
  const lines = data.map((cells, i) => ({ cells: cells.map((cell) => cell.trim()), line: i + 1 }));
  const [head, ...body] = lines.filter(({ cells }) => cells.some((cell) => cell !== '') && !cells[0]?.startsWith('#'));
  if (!head) return [{ line: 1, message: 'is empty; allowed: a header, t_s and names of inputs, and rows' }];
  if (body.length === 0)
    return [{ line: head.line, message: 'has no rows; allowed: at least one, t_s and a value for each input' }];
  const known = [...Object.keys(senses.inputs), ...Object.keys(senses.analog)];
  const names = head.cells.slice(1);
  const faults: SensedFault[] = [];
  if (head.cells[0] !== 't_s')
    faults.push({ line: head.line, message: `found ${head.cells[0] ?? ''} first; allowed: t_s` });
  for (const name of names)
    if (!known.includes(name))
      faults.push({
        line: head.line,
        message: `found ${name}, which is no input of this rig; ${known.length > 0 ? `allowed: ${known.join(', ')}` : 'it has none: inputs stand in the rig file, under night'}`,
      });
  if (faults.length > 0) return faults;
  let last_s = -Infinity;
  const rows = body.map(({ cells, line }) => {
    const [t_s = NaN, ...values] = cells.map((cell) => (cell === '' ? NaN : Number(cell)));
    const row = { t_s, closed: 0, analog: [0, 0, 0, 0] };
    if (!(t_s > last_s)) faults.push({ line, message: `found t_s ${cells[0] ?? ''}; allowed: numbers that increase` });
    if (t_s > last_s) last_s = t_s;
    names.forEach((name, k) => {
      const value = values[k] ?? NaN;
      const pin = senses.inputs[name];
      if (pin === undefined ? !(value >= 0 && value <= 1) : !(value === 0 || value === 1))
        faults.push({
          line,
          message: `found ${cells[k + 1] ?? 'nothing'} for ${name}; allowed: ${pin === undefined ? '0 to 1' : '0 (open) or 1 (closed)'}`,
        });
      else if (pin === undefined) row.analog[senses.analog[name]!] = Math.round(value * FULL_SCALE);
      else if (value === 1) row.closed |= 1 << pin;
    });
    return row;
  });
  return faults.length > 0 ? faults : new SensedRows(rows);
}
