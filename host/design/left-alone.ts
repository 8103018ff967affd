/** Joints whose servo nobody asked to design may fail all the same: over all designs, joint by joint. */
import { toShown } from '../rig/rig.ts';
import { short } from '../rig/words.ts';
import type { Alone, Judged } from './judge.ts';
import type { Want } from './want/want.ts';

/** A sentence for each joint and each way to fail, without a stop. */
export function leftAloneWords(want: Want, shown: readonly { readonly judged: Judged }[]): string[] {
  const all = shown.flatMap(({ judged }) => judged.left_alone);
  const keys = [...new Set(all.map(({ joint, what }) => `${joint} ${what}`))];
  return keys.map((key) => {
    const own = all.filter(({ joint, what }) => `${joint} ${what}` === key);
    return sentence(
      want,
      own,
      own.length < shown.length ? `in ${String(own.length)} of ${String(shown.length)}, ` : '',
    );
  });
}

function sentence(want: Want, own: readonly Alone[], where: string): string {
  const { margins, must } = want;
  const { joint, what } = own[0]!;
  const spare = `with ${short(100 * margins.heavier, 0)} % more weight and ${short(100 * margins.less_voltage, 0)} % less voltage`;
  const stream = `${must.follow?.name ?? 'the stream'} as written`;
  if (what === 'speed')
    return `${joint}: ${where}${stream} asks for more speed than its servo has, ${spare}; ${remedy(want, joint)}`;
  const uses = own.map(({ use }) => use ?? 0);
  const [least, most] = [Math.min(...uses), Math.max(...uses)].map((use) => short(100 * use, 0));
  const span = least === most ? `${most ?? ''} %` : `${least ?? ''} to ${most ?? ''} %`;
  if (what === 'hold')
    return `${joint}: ${where}holding takes ${span} of its servo, ${spare}; its servo is not designed here`;
  return `${joint}: ${where}${stream} takes ${span} of its servo, ${spare}; ${remedy(want, joint)}`;
}

/** Speed limits are no figures of a design: other commands choose them. */
function remedy({ base }: Want, joint: string): string {
  const limited = base.joints.find(({ name }) => name === joint);
  const speed = limited ? ` (${short(toShown(limited, limited.speed), 0)} ${limited.unit}/s)` : '';
  return `its speed limit${speed} is not searched here: “tune” finds one that its servo holds, then “retime” slows the stream to it`;
}
