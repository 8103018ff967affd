/** A rig's own controller for tests: two inputs, four analog ones. */
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { type OwnController, compileResponses } from '../host/firmware/responses/compile.ts';
import type { Fault } from '../host/firmware/responses/parse.ts';
import type { Rig } from '../host/rig/rig.ts';
import type { Senses } from '../host/rig/senses.ts';
import { rigOf } from './assembly/rigs.ts';

export const SENSES: Senses = { inputs: { door: 0, hand: 1 }, analog: { left: 0, right: 1, sound: 2, light: 3 } };
const PLACES = { root: '.', out: join(tmpdir(), 'posewright-test-responses') };

const HEAD = [
  "import { add, ask, asked, closed, level, noise, seconds, since, sine, tick_s } from './senses';",
  "import { Level, Pin, Value } from './named';",
].join(' ');

/** What is wrong with a file of this text, which begins on line 2 behind the imports. */
export async function faultsOf(text: string, head = HEAD): Promise<readonly Fault[]> {
  const made = await compileResponses(`${head}\n${text}`, rigOf(), SENSES, PLACES);
  return 'bytes' in made ? [] : made;
}

/** The controller with responses of this text. */
export async function ownOf(text: string, rig: Rig = rigOf(), head = HEAD): Promise<OwnController> {
  const made = await compileResponses(`${head}\n${text}`, rig, SENSES, PLACES);
  if (!('bytes' in made)) throw new Error(JSON.stringify(made));
  return made;
}
