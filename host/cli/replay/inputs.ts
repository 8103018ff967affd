/** `--inputs`: what the rig's inputs are while the stream is played in simulation. */
import { SensedRows, readSensed } from '../../replay/sensed.ts';
import type { Rig } from '../../rig/rig.ts';
import { sensesOf } from '../../rig/senses.ts';
import { readText } from '../files.ts';
import type { Io } from '../io.ts';
import { type Problem, problemOf } from '../output.ts';
import { shownName } from '../stdin.ts';

/** The rows of the file; null: none was given; or what is wrong. */
export async function readInputs(
  path: string | undefined,
  on: string,
  rig: Rig,
  io: Io,
): Promise<SensedRows | null | readonly Problem[]> {
  if (path === undefined) return null;
  if (on !== 'sim')
    return [
      problemOf('--inputs', `found beside --on ${on}; allowed: in simulation, since a board has inputs of its own`),
    ];
  const read = await readText(path, io);
  const file = shownName(path);
  if ('fault' in read) return [problemOf(file, read.fault)];
  const rows = readSensed(read.text, sensesOf(rig));
  return rows instanceof SensedRows ? rows : rows.map(({ line, message }) => ({ ...problemOf(file, message), line }));
}
