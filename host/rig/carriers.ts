/** Which joints carry something: what moves them moves the prop. */
import type { Rig } from './rig.ts';

/** Names of the joints that carry the platform or another joint; without a platform also of those that carry parts. */
export function carriersOf({
  platform,
  joints,
  parts,
}: Pick<Rig, 'platform' | 'joints' | 'parts'>): ReadonlySet<string> {
  const on = [platform?.on, ...joints.map(({ axis }) => axis?.on), ...(platform ? [] : parts.map((part) => part.on))];
  return new Set(on.flatMap((name) => name ?? []));
}
