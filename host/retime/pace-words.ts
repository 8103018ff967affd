/** At which pace a retimed stream goes, in a maker's words: both times, and the speed peaks that it has and the stream had not. */
import { namesWords } from '../replay/words.ts';
import type { ColumnPeaks, RetimeAnswer } from './result.ts';
import { counted } from '../rig/words.ts';

/** `yaw 5 speed peaks where the stream has 1 and roll …`; empty: none is added. */
function addedWords(peaks: readonly ColumnPeaks[], verb: string): string {
  const added = peaks.filter(({ before, after }) => after > before);
  return namesWords(
    added.map(({ name, before, after }, k) =>
      k === 0
        ? `${name} ${verb} ${counted(after, 'speed peak')} where the stream has ${String(before)}`
        : `${name} ${String(after)} for ${String(before)}`,
    ),
  );
}

/** The pace, in a sentence; empty where nothing was slowed and no peak is added. */
export function paceWords({ pace, slowed, hurried, seconds_after }: RetimeAnswer): string[] {
  const { kind, quickest_s, peaks, quickest_peaks } = pace;
  if (slowed.length + hurried.length === 0) return [];
  const left = addedWords(peaks, 'has');
  const longer_s = seconds_after - quickest_s;
  const beside = `${longer_s.toFixed(2)} s longer than the quickest pace, ${quickest_s.toFixed(2)} s`;
  if (kind === 'steady')
    return [
      left === ''
        ? `steady, no speed peak is added: ${beside}, at which ${addedWords(quickest_peaks, 'would have')}`
        : `steady, ${beside}; still ${left}`,
    ];
  if (left === '')
    return [
      kind === 'quickest' ? 'as quick as can be, and no speed peak is added' : `no speed peak is added: ${beside}`,
    ];
  if (kind === 'quickest') return [`as quick as can be: ${left}; without --quickest it may take longer and have fewer`];
  const whole = longer_s > 0.005 ? `, ${beside}` : ', the quickest';
  return [
    `${left}: adding none would take over 15 % longer than the quickest pace. It takes ${seconds_after.toFixed(2)} s${whole}`,
  ];
}
