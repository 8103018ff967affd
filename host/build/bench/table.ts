/** Figures as README has them: tables in Markdown, CPU seconds, what was aimed at and what was reached. */

export type Say = (line?: string) => unknown;

/** The heads' first may be empty. */
export function printTable(say: Say, heads: readonly string[], rows: readonly (readonly string[])[]): void {
  const line = (cells: readonly string[]): unknown => say(`| ${cells.map((cell) => cell || ' ').join(' | ')} |`.replaceAll('|   |', '| |'));
  line(heads);
  line(heads.map(() => '---'));
  for (const row of rows) line(row);
}

/** One row of the table of aims. */
export interface AimRow {
  readonly name: string;
  readonly aim: string;
  readonly measured: string;
  readonly isMet: boolean;
}

export const aimCells = ({ name, aim, measured, isMet }: AimRow): string[] => [name, aim, isMet ? measured : `${measured}: **not met**`];

/** A whole number with its thousands told apart: 14,550. */
export const whole = (value: number): string => Math.round(value).toLocaleString('en-US');

/** CPU seconds of this process, its collector's and compiler's threads counted: machines are shared. */
export function cpu_s(): number {
  const { user, system } = process.cpuUsage();
  return (user + system) / 1e6;
}
