/**
 * The benchmark's figures of the design search's evaluator: whole candidates a minute on one thread, and how it agrees with the library's
 * reach and load on 1,000 random candidates of the demo's owl, along dusk for those that carry it.
 */
import { type Agreement, agreementOf } from '../../../tests/host/design/agreement.ts';
import { askOf, demoOwl, dusk, randomDesigns } from '../../../tests/host/design/candidates.ts';
import { Built } from '../../design/evaluate/built.ts';
import { Evaluation } from '../../design/evaluate/evaluate.ts';
import { sampleStream } from '../../design/evaluate/ask.ts';
import { type Prepared, prepare } from '../../design/evaluate/prepare.ts';
import { AT, FIGURES } from '../../design/figures.ts';
import { type Say, aimCells, cpu_s, printTable, whole } from './table.ts';

const SAMPLES = 40;
const COMPARED = 1000;
/** Of them along the stream too, which takes the library 20 ms each. */
const STREAMED = 150;
const TIMED = 6000;
const BUILT = 10;
const AIM_A_MINUTE = 130_000;

export async function designs(say: Say): Promise<void> {
  const rig = demoOwl();
  const stored = await dusk(rig);
  const ask = askOf(rig, { stream: sampleStream('dusk', rig, stored), samples: randomDesigns(SAMPLES, 99) });
  const start = cpu_s();
  const prepared = prepare(ask);
  say(`\nDesign candidates (the owl, dusk of ${whole(ask.stream?.ticks ?? 0)} ticks; prepared in ${(cpu_s() - start).toFixed(1)} CPU s):\n`);
  const all = randomDesigns(COMPARED, 3);
  const found = agreementOf({ ...ask, stream: null }, { ...prepared, ticks: null, reached: null }, all, null);
  const streamed = agreementOf(ask, prepared, all.slice(0, STREAMED), stored);
  const { minute, standing } = speedOf(prepared);
  printTable(say, ['', 'aim', 'measured'], rowsOf(found, streamed, minute));
  say(`\n${whole(standing)} of ${whole(TIMED)} timed candidates stand at home; ${whole(found.cut)} of ${whole(found.travels)} travels are cut where the plate hangs loose.`);
  say(`Build errors, 400 draws: ${whole(1000 * builtSeconds(prepared))} ms of CPU a design.`);
}

function rowsOf(found: Agreement, streamed: Agreement, minute: number): string[][] {
  const row = (name: string, aim: string, measured: string, isMet: boolean): string[] => aimCells({ name, aim, measured, isMet });
  return [
    row('whole candidates a CPU minute, one thread', whole(AIM_A_MINUTE), whole(minute), minute >= AIM_A_MINUTE),
    row(`stops that differ, of ${whole(found.travels)} travels`, '0', whole(found.otherStops), found.otherStops === 0),
    row('travel, mm or rad', '1e-5', found.travel.toExponential(1), found.travel <= 1e-5),
    row(`hold, relative, ${whole(found.holds)} places`, '1e-9', found.hold.toExponential(1), found.hold <= 1e-9),
    row('lowest frequency at home, Hz', '1e-4', found.hz.toExponential(1), found.hz <= 1e-4 && found.otherStable === 0),
    row(`use along the stream, ${whole(streamed.streams)} designs that can play it`, '1 %', `${(100 * streamed.use).toFixed(2)} %`, streamed.use <= 0.01),
    row('designs of which only one says that the stream is in reach', '0', whole(streamed.otherReach), streamed.otherReach === 0),
  ];
}

function speedOf(prepared: Prepared): { readonly minute: number; readonly standing: number } {
  const evaluation = new Evaluation(prepared);
  const all = randomDesigns(TIMED, 17);
  const figures = new Float64Array(FIGURES);
  for (const design of all.slice(0, TIMED / 4)) evaluation.figures(design, figures);
  let standing = 0;
  const start = cpu_s();
  for (const design of all) {
    evaluation.figures(design, figures);
    standing += figures[AT.stands]!;
  }
  return { minute: (60 * TIMED) / (cpu_s() - start), standing };
}

function builtSeconds(prepared: Prepared): number {
  const built = new Built(prepared);
  const start = cpu_s();
  for (const design of randomDesigns(BUILT, 3)) built.travels(design, prepared.ask.must.travels);
  return (cpu_s() - start) / BUILT;
}
