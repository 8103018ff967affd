/** A show's frames as the text of a stream, so that what the board will play is what is replayed. */
import { columnPlaces } from '../rig/night/night.ts';
import { type Rig, toDeg } from '../rig/rig.ts';
import type { Frames } from './encode.ts';
import { FRAME_HZ, STEP } from './layout.ts';
import { homeAt } from './sample.ts';

/** Every column of the rig; what the show does not name stands at home. Steps have two decimals, home six. */
export function streamText({ places, steps, count }: Frames, rig: Rig): string {
  const columns = [...columnPlaces(rig.joints, rig.platform !== null)];
  const sources = columns.map(([, place]) => {
    const i = places.indexOf(place);
    const home = homeAt(rig, place);
    const still = Number((place < 3 ? home : toDeg(home)).toFixed(6));
    return (frame: number): string => (i < 0 ? String(still) : (steps[frame * places.length + i]! * STEP).toFixed(2));
  });
  const rows = Array.from({ length: count }, (_, frame) =>
    [(frame / FRAME_HZ).toFixed(2), ...sources.map((at) => at(frame))].join(','),
  );
  return [['t_s', ...columns.map(([column]) => column)].join(','), ...rows, ''].join('\n');
}
