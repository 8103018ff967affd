/** A want as the evaluator is asked it: plain numbers, the stream at every tick, samples of the space. */
import { type Ask, sampleStream } from './evaluate/ask.ts';
import { halton } from './search/halton.ts';
import { type Space, spaceOf } from './space.ts';
import type { Want } from './want/want.ts';

/** Designs that show where a stream is hardest: enough that twice as many find no harder tick (measured). */
const SAMPLES = 40;

export function askOf(want: Want, space: Space = spaceOf(want)): Ask {
  const { base, must, room, firm, margins, servos, stock, axes } = want;
  const dims = space.genes.length;
  return {
    rig: base,
    must: {
      travels: Float64Array.from(must.travel.flatMap(({ minus, plus }) => [-minus, plus])),
      together: must.together,
      spare: must.spare_travel,
      built_within_mm: must.built_within_mm,
    },
    bounds: {
      lowest_hz: firm.lowest_hz === 0 ? null : firm.lowest_hz,
      use: firm.use,
      hold_use: firm.hold_use,
      height_mm: room.height_mm,
    },
    classes: servos.map(({ name, servo, price, body_mm }) => ({ name, servo, price: price ?? 0, body_mm })),
    clearance: want.clearance,
    margins: { weight: 1 + margins.heavier, voltage: 1 - margins.less_voltage },
    keeps: { base: stock.keep.includes('base'), plate: stock.keep.includes('plate'), azimuths: stock.keep_azimuths },
    ownLimits: want.own_limits,
    freeAxes: axes.map(({ joint }) => joint),
    counterweights: axes.flatMap(({ joint, counterweight }) => (counterweight ? [joint] : [])),
    bounded: axes.flatMap(({ joint, most_nm }) => (most_nm === null ? [] : [joint])),
    stream: must.follow && sampleStream(must.follow.name, base, must.follow.stored),
    samples: Array.from({ length: SAMPLES }, (_, i) => space.decode(halton(i, new Float64Array(dims)))),
  };
}
