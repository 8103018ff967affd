/** A bring-up by script: verbs one after another on a bench whose target a true prop hangs on. */
import { readFileSync } from 'node:fs';
import { parseVerb, runVerb } from '../../../host/bringup/verbs.ts';
import { Bench } from '../../../host/bringup/session/bench.ts';
import type { VerbOutcome } from '../../../host/bringup/verb.ts';
import { firmwareOf } from '../../boards/firmware.ts';
import { PERCH } from './perch.ts';
import type { TrueProp } from './true-prop.ts';
import { Cable, watchedPico, watchedSim } from './watched.ts';

/** Nothing waits in real time: the prop's person answers at once. */
const sleep = (): Promise<void> => new Promise((wake) => setImmediate(wake));

/** On the emulated pico. */
export const benchOf = (prop: TrueProp, text = PERCH, cable = new Cable()): Promise<Bench> =>
  Bench.open({ target: watchedPico(firmwareOf('pico').image, prop, cable), text, sleep });

/** On the simulated controller, a tenth of the work: for one joint alone, the one on this pin. */
export const simBenchOf = (prop: TrueProp, text: string, pin = 2): Promise<Bench> =>
  Bench.open({ target: watchedSim(controllerWasm(), prop, pin), text, sleep });

const controllerWasm = (): Uint8Array<ArrayBuffer> =>
  new Uint8Array(readFileSync(new URL('../../../build/controller.wasm', import.meta.url)));

/** Runs a verb's words, which must be words. */
export async function told(bench: Bench, prop: TrueProp, text: string): Promise<VerbOutcome> {
  const words = parseVerb(text, bench.rig);
  if ('problem' in words) throw new Error(words.problem);
  return runVerb(bench, prop, words);
}

/** The same, and it must come to its end. */
export async function done(bench: Bench, prop: TrueProp, text: string): Promise<VerbOutcome> {
  const outcome = await told(bench, prop, text);
  if (outcome.ended !== null) throw new Error(`${text} ended: ${outcome.ended}\n${prop.said.join('\n')}`);
  return outcome;
}
