/** At which pace a retimed stream goes, in a maker's words: both times, and the speed peaks that it has and the stream had not. */
import { namesWords } from '../replay/words.ts';
import type { ColumnPeaks, RetimeAnswer } from './result.ts';
import { counted } from '../rig/words.ts';

/** `yaw has 5 speed peaks instead of 1 and roll …`, what the stream has last; empty: none is added. */
function addedWords(peaks: readonly ColumnPeaks[], verb: string): string {
  const added = peaks.filter(({ before, after }) => after > before);
  return namesWords(
    added.map(({ name, before, after }, k) =>
      k === 0
        ? `${name} ${verb} ${counted(after, 'speed peak')} instead of ${String(before)}`
        : `${name} ${String(after)} instead of ${String(before)}`,
    ),
  );
}

/** The pace, in a sentence; empty where nothing was slowed and no peak is added. */
export function paceWords({ pace, slowed, hurried, seconds_after }: RetimeAnswer): string[] {
  const { kind, quickest_s, peaks, quickest_peaks } = pace;
  if (slowed.length + hurried.length === 0) return [];
  const left = addedWords(peaks, 'has');
  const longer_s = seconds_after - quickest_s;
  const beside = `${longer_s.toFixed(2)} s longer than the fastest pace (${quickest_s.toFixed(2)} s)`;
  if (kind === 'steady')
    return [
      left === ''
        ? `steady, with no speed peaks added: ${beside}, at which ${addedWords(quickest_peaks, 'would have')}`
        : `steady, ${beside}; still ${left}`,
    ];
  if (left === '')
    return [kind === 'quickest' ? 'as fast as possible, with no speed peaks added' : `no speed peaks added: ${beside}`];
  if (kind === 'quickest')
    return [`as fast as possible: ${left}; without --quickest it may take longer and have fewer`];
  const whole = longer_s > 0.005 ? `, ${beside}` : ', the fastest';
  return [
    `${left}: adding none would take over 15 % longer than the fastest pace. It takes ${seconds_after.toFixed(2)} s${whole}`,
  ];
}
