/** The verdict by column of a stream, as the time line shows it. */
import { toDeg } from '../../../rig/rig.ts';
import type { Fix } from './fixes.ts';
import type { Gap } from './gaps.ts';
import type { TakeTrace } from './protocol.ts';

/** What comes out, by column: at 50 frames a second from 0 s on, mm or deg. */
export function deliveredBy(
  { count, rows, delivered }: TakeTrace,
  columns: readonly string[],
): Map<string, Float64Array> {
  const first = rows - columns.length;
  return new Map(
    columns.map((column, k) => [
      column,
      Float64Array.from({ length: count }, (_, f) => {
        const value = delivered[f * rows + first + k]!;
        return column.endsWith('_deg') ? toDeg(value) : value;
      }),
    ]),
  );
}

/** The columns that a gap is of: its joint's own, or all of the platform's where a leg is the cause. */
export function columnsOfGap({ joint }: Pick<Gap, 'joint'>, all: readonly string[]): string[] {
  const own = all.filter((column) => column === `${joint}_deg`);
  return own.length > 0 ? own : all.filter((column) => /^(x|y|z)_mm$|^(roll|pitch|yaw)_deg$/.test(column));
}

/** What makes a gap's stretch smaller, in its columns. */
export const smallerAt = (gap: Gap, all: readonly string[]): Extract<Fix, { kind: 'smaller' }> => ({
  kind: 'smaller',
  columns: columnsOfGap(gap, all),
  from_s: gap.from_s,
  to_s: gap.to_s,
});
