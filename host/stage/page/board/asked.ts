/** What a board that plays a take is asked for, for the outline. */
import { type Pose, type Rig, toRad } from '../../../rig/rig.ts';
import { askedAt } from '../../take/detail.ts';
import { curveOf } from '../../take/take.ts';
import type { Stance } from '../prop/scene.ts';
import { boardSays, columns, take } from '../state.ts';

/** At the instant that its telemetry is of; null: it plays no take, or one that this page does not have open. */
export function askedOfBoard(rig: Rig): Stance | null {
  const says = boardSays.peek();
  const now = take.peek();
  if (!says || says.told_s === null || says.take !== `${now.name}.csv`) return null;
  const values = columns.peek().map((column) => {
    const curve = curveOf(now, column);
    const value = curve && curve.keys.length > 0 ? askedAt(now, curve, says.told_s!) : NaN;
    return column.endsWith('_deg') ? toRad(value) : value;
  });
  const legs = rig.platform ? 6 : 0;
  const pose = values.slice(0, legs).map((value) => (Number.isNaN(value) ? 0 : value));
  return {
    coordinates: [...Array.from({ length: legs }, () => NaN), ...values.slice(legs)],
    pose: rig.platform ? (pose as unknown as Pose) : null,
  };
}
