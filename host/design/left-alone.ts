/** Joints that nobody asked to design may fail all the same: over all designs, joint by joint. */
import { short } from '../rig/words.ts';
import type { Alone, Judged } from './judge.ts';

/** A sentence for each joint and each way to fail, without a stop. */
export function leftAloneWords(shown: readonly { readonly judged: Judged }[]): string[] {
  const all = shown.flatMap(({ judged }) => judged.left_alone);
  const keys = [...new Set(all.map(({ joint, what }) => `${joint} ${what}`))];
  return keys.map((key) => {
    const own = all.filter(({ joint, what }) => `${joint} ${what}` === key);
    return sentence(own);
  });
}

const sentence = (own: readonly Alone[]): string => {
  const { joint, what } = own[0]!;
  if (what === 'speed') return `${joint}: the stream asks for more speed than its servo has`;
  const uses = own.map(({ use }) => use ?? 0);
  const [least, most] = [Math.min(...uses), Math.max(...uses)].map((use) => short(100 * use, 0));
  const span = least === most ? `${most ?? ''} %` : `${least ?? ''} to ${most ?? ''} %`;
  return `${joint}: ${what === 'hold' ? 'holding' : 'the stream'} takes ${span} of its servo`;
};
