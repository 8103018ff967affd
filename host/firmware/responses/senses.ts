/**
 * What a rig's responses may name: its night's inputs, and what can be asked of it. The names become numbers when the responses are
 * compiled.
 */
import { type Rig, POSE_KEYS } from '../../rig/rig.ts';
import type { Senses } from '../../rig/senses.ts';

/** The three lists that responses.ts imports from './named'; in the file their names are written with _ for -. */
export type Named = Readonly<Record<'Pin' | 'Level' | 'Value', Readonly<Record<string, number>>>>;

const POSE = POSE_KEYS.length;

/** Pin: inputs that are open or closed. Level: analog ones. Value: the pose and the single joints, by their place in a frame. */
export function namedOf(rig: Rig, senses: Senses): Named {
  const values: Record<string, number> = {};
  if (rig.platform) POSE_KEYS.forEach((key, i) => (values[key.replace(/_.*/, '')] = i));
  const legs = rig.platform ? POSE : 0;
  rig.joints.forEach(({ name }, i) => {
    if (i >= legs) values[name] = POSE + i;
  });
  const written = (list: Readonly<Record<string, number>>): Record<string, number> =>
    Object.fromEntries(Object.entries(list).map(([name, at]) => [name.replaceAll('-', '_'), at]));
  return { Pin: written(senses.inputs), Level: written(senses.analog), Value: written(values) };
}

/** named.ts, which the compiler reads. */
export const namedSource = (named: Named): string =>
  Object.entries(named)
    .map(
      ([list, members]) =>
        `export const enum ${list} {${Object.entries(members)
          .map(([name, at]) => `${name} = ${String(at)}`)
          .join(', ')}}\n`,
    )
    .join('');
