/** The answer of `design` as a JSON document: DIR/front.json too. Lengths mm, angles degrees. */
import type { Answer } from '../../design/answer.ts';
import type { Design } from '../../design/design.ts';
import type { Shown } from '../../design/shown.ts';
import { toDeg } from '../../rig/rig.ts';

/** Up to six decimals, no -0; what is no finite number stays so, and JSON has null for it. */
const neat = (value: number): number => Number(value.toFixed(6)) + 0;
const maybe = (value: number | null): number | null => (value === null ? null : neat(value));

export const answerJson = ({ subject, front, relaxed, ...told }: Answer): unknown => ({
  ok: front.shown.length > 0,
  want: subject.want.name,
  better: subject.want.better,
  front: front.shown.map(shownJson),
  given_axis_hold_nm: Object.fromEntries(Object.entries(front.before_nm).map(([key, value]) => [key, neat(value)])),
  relax: relaxed.map((own) => ({ ...own, by: neat(own.by) })),
  dropped: front.dropped,
  ...told,
});

const shownJson = (shown: Shown) => ({
  ...figuresJson(shown),
  ...builtJson(shown),
});

const figuresJson = ({ file, name, why, balanced, binds, judged, travel_share, least_axis }: Shown) => ({
  rig: file,
  name,
  why,
  balanced,
  binds,
  travel: judged.travel.map((own) => ({ ...own, minus: neat(own.minus), plus: neat(own.plus) })),
  travel_share: maybe(travel_share),
  least_axis,
  torque_used: { ...judged.torque_used, use: neat(judged.torque_used.use) },
  use: maybe(judged.use),
  hold_use: neat(judged.hold_use),
  lowest_hz: neat(judged.lowest_hz),
  price: maybe(judged.price),
});

const builtJson = ({ design, judged, robust, volume_cm3 }: Shown) => ({
  size_mm: Object.fromEntries(Object.entries(judged.size_mm).map(([key, value]) => [key, neat(value)])),
  volume_cm3: neat(volume_cm3),
  ...legsJson(design),
  servo: judged.rig.joints[0]?.servo.name ?? null,
  axes: design.axes.map(({ joint, gear_ratio, counterweight }) => ({
    joint,
    gear_ratio,
    counterweight,
    servo: judged.rig.joints.find(({ name }) => name === joint)?.servo.name ?? null,
  })),
  peak_a: maybe(judged.peak_a),
  axis_hold_nm: Object.fromEntries(Object.entries(judged.axis_hold_nm).map(([key, value]) => [key, neat(value)])),
  robust: maybe(robust),
  left_alone: judged.left_alone,
});

/** Cranks and rods, or the actuators' shortest and longest pin to pin; soft limits where they are not as given. */
function legsJson({ crank_mm, rod_mm, stroke_mm, limits }: Design) {
  return stroke_mm
    ? { crank_mm: null, rod_mm: null, stroke_mm: stroke_mm.map(neat), limits_mm: limits && limits.map(neat) }
    : {
        crank_mm: neat(crank_mm),
        rod_mm: neat(rod_mm),
        stroke_mm: null,
        limits_deg: limits && limits.map((limit) => neat(toDeg(limit))),
      };
}
