/** The controller of a rig: the one that all rigs share, or its own, where responses.ts stands beside the rig's file. */
import { mkdirSync } from 'node:fs';
import { dirname, join } from 'node:path';
import type { Nor } from '../controller/nor.ts';
import { type OwnController, compileResponses, responsesBeside } from '../firmware/responses/compile.ts';
import type { Sensed } from '../replay/sensed.ts';
import type { Rig } from '../rig/rig.ts';
import { sensesOf } from '../rig/senses.ts';
import { builtFile, firmwarePlaces } from './assets.ts';
import { faultWords } from './faults.ts';
import { type Problem, problemOf } from './output.ts';
import { shownName } from './stdin.ts';

/** Which controller a target runs. */
export interface Made {
  /** The module; null: it was not built. */
  readonly wasm: Uint8Array<ArrayBuffer> | null;
  /** Where firmware with it is made, and is found. */
  readonly places: ReturnType<typeof firmwarePlaces>;
  /** responses.ts as it is shown; null: the rig has none. */
  readonly responses: string | null;
  /** What its inputs are, in simulation. */
  readonly sensed?: (at_us: number) => Sensed;
  /** Flash for nights, in simulation; none without. */
  readonly store?: Nor;
}

/** What all rigs share. */
export async function sharedController(): Promise<Made> {
  return { wasm: await builtFile('controller.wasm'), places: firmwarePlaces(), responses: null };
}

/** The controller of the rig in this file, or all that is wrong with its responses. */
export async function controllerFor(rigPath: string, rig: Rig): Promise<Made | readonly Problem[]> {
  const beside = responsesBeside(rigPath);
  if (!beside) return sharedController();
  const file = shownName(beside.path);
  const shared = firmwarePlaces();
  const out = join(shared.out, 'responses');
  let made: OwnController | readonly { readonly line: number; readonly message: string }[];
  try {
    mkdirSync(out, { recursive: true });
    made = await compileResponses(beside.text, rig, sensesOf(rig), { root: dirname(shared.boards), out });
  } catch (error) {
    return [problemOf(file, faultWords(error))];
  }
  if (!('wasm' in made)) return made.map(({ line, message }) => ({ ...problemOf(file, message), line }));
  return { wasm: made.bytes, places: { ...shared, wasm: made.wasm, out: made.folder }, responses: file };
}
