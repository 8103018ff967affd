/** The page's side of the judging: every change of the take is judged in a worker, and what is newer gives up what is older. */
import { effect } from '@preact/signals';
import { answers, change, gaps, judging, loads, said, take, trace } from '../state.ts';
import type { Fix, Fixed } from './fixes.ts';
import type { FromVerdict, Task, ToVerdict } from './protocol.ts';

let rigText = '';
let bytes: ArrayBuffer | null = null;
let newest = 0;

const open = (heard: (what: FromVerdict) => void): Worker => {
  const worker = new Worker('verdict.js', { type: 'module' });
  worker.addEventListener('message', ({ data }: MessageEvent<FromVerdict>) => {
    heard(data);
  });
  worker.postMessage({ do: 'start', rig: rigText, wasm: bytes! } satisfies ToVerdict);
  return worker;
};

/** Judges the take now, and after every change of it. */
export function startVerdict(rig: string, wasm: ArrayBuffer): void {
  [rigText, bytes] = [rig, wasm];
  const worker = open((what) => {
    if ('number' in what && what.number !== newest) return;
    if (what.said === 'fault') {
      judging.value = false;
      said.value = `this take cannot be judged: ${what.words}`;
    } else if (what.said === 'verdict') {
      judging.value = false;
      trace.value = what.trace;
      gaps.value = what.gaps;
      answers.value = what.answers;
      loads.value = what.joints;
    }
  });
  effect(() => {
    const now = take.value;
    if (now.curves.every(({ keys }) => keys.length === 0)) return;
    judging.value = true;
    worker.postMessage({ do: 'judge', number: ++newest, take: now } satisfies ToVerdict);
  });
}

/** What takes long runs apart, so that it can be stopped at any time. */
let busy: { readonly worker: Worker; readonly give: (what: FromVerdict | null) => void } | null = null;

/** Stops what runs apart; what asked for it gets null. */
export function stopWork(): void {
  busy?.worker.terminate();
  busy?.give(null);
  busy = null;
}

/** What is told while the work goes on. */
interface Listener {
  readonly progress?: (share: number) => void;
  readonly doing?: (words: string) => void;
}

function apart(asked: ToVerdict, { progress, doing }: Listener): Promise<FromVerdict | null> {
  stopWork();
  return new Promise((give) => {
    const worker = open((what) => {
      if (what.said === 'progress') progress?.(what.share);
      else if (what.said === 'doing') doing?.(what.words);
      else if (what.said !== 'ready') {
        worker.terminate();
        busy = null;
        give(what);
      }
    });
    busy = { worker, give };
    worker.postMessage(asked);
  });
}

/** What a fix would make of the take; null: it was stopped. @param doing is told each step, in words, before it begins */
export async function tryFix(fix: Fix, doing: (words: string) => void): Promise<Fixed | null> {
  const what = await apart({ do: 'fix', number: 0, take: take.value, fix }, { doing });
  if (what?.said === 'fault') return { refused: what.words };
  return what?.said === 'fixed' ? what.fixed : null;
}

const DONE: Readonly<Record<Fix['kind'], string>> = {
  follow: 'retime and make smaller until it follows',
  retime: 'retime',
  soften: 'soften',
  smooth: 'smooth',
  smaller: 'make smaller',
};

/** Puts what a fix has made in the take's place: one edit, and one undo. */
export function applyFix(fix: Fix, fixed: Fixed): void {
  if ('take' in fixed) change({ kind: 'whole', take: fixed.take }, DONE[fix.kind]);
}

/** Looks into the take: markup of the reports; null: it was stopped. */
export async function lookInto(task: Task, progress: (share: number) => void): Promise<string | null> {
  const what = await apart({ do: 'work', number: 0, take: take.value, task }, { progress });
  if (what?.said === 'fault') said.value = what.words;
  return what?.said === 'worked' ? what.html : null;
}
