/**
 * Evaluates a search's points in threads. Which thread takes which points depends on who is free; the answers stand by
 * index and each is worked out from its point alone, so they are the same bits for any number of workers.
 */
import { Worker } from 'node:worker_threads';
import type { Evaluator, Shape } from '../../design/search/problem.ts';
import type { Batch, Said, Start } from './batch.ts';

export interface PoolOptions {
  /** The module that makes the problem, as `ProblemModule`: a file that stands by itself, as the build makes them. */
  readonly problem: URL;
  /** What each worker builds its problem from: anything that can be sent to a thread. */
  readonly description: unknown;
  /** At least 1. */
  readonly workers: number;
  /** The file made of worker.ts, where it does not stand beside this one. */
  readonly worker?: URL;
}

export interface Pool extends Evaluator {
  readonly shape: Shape;
}

/** In dist/. */
const WORKER = new URL('design-worker.mjs', import.meta.url);
/** Few enough that a batch's last chunks do not keep one worker busy while the others wait. */
const MOST_CHUNK = 64;
const CHUNKS_EACH = 4;

/** Resolves once every worker is ready; rejects, in words, where one cannot build its problem. */
export async function openPool({ problem, description, workers, worker = WORKER }: PoolOptions): Promise<Pool> {
  const workerData: Start = { problem: problem.href, description };
  const threads = Array.from({ length: workers }, () => new Thread(new Worker(worker, { workerData })));
  const close = async (): Promise<void> => {
    await Promise.all(threads.map((thread) => thread.end()));
  };
  try {
    const ready = await Promise.all(threads.map((thread) => thread.answer()));
    const shape = ready.flatMap((said) => (said.kind === 'ready' ? said.shape : []))[0]!;
    return { workers, shape, close, evaluate: evaluation(threads, shape, close) };
  } catch (error) {
    await close();
    throw error;
  }
}

function evaluation(threads: readonly Thread[], shape: Shape, close: () => Promise<void>): Evaluator['evaluate'] {
  const next = new Int32Array(new SharedArrayBuffer(4));
  let xs = shared(0);
  let answers = shared(0);
  let isBusy = false;
  return async (points, n) => {
    if (isBusy) throw new Error('the pool of workers evaluates one batch at a time');
    isBusy = true;
    const width = shape.objectives + shape.constraints;
    if (xs.length < n * shape.dims) [xs, answers] = [shared(n * shape.dims), shared(n * width)];
    xs.set(points.subarray(0, n * shape.dims));
    next[0] = 0;
    const chunk = Math.max(1, Math.min(MOST_CHUNK, Math.ceil(n / (threads.length * CHUNKS_EACH))));
    try {
      await Promise.all(threads.map((thread) => thread.work({ xs, answers, next, n, chunk })));
    } catch (error) {
      await close();
      throw error;
    } finally {
      isBusy = false;
    }
    return answers.slice(0, n * width);
  };
}

const shared = (length: number): Float64Array<SharedArrayBuffer> => new Float64Array(new SharedArrayBuffer(length * 8));

/** One worker, asked for one thing at a time. */
class Thread {
  private readonly worker: Worker;
  private failure: Error | null = null;
  private waiting: { readonly resolve: (said: Said) => void; readonly reject: (error: Error) => void } | null = null;

  constructor(worker: Worker) {
    this.worker = worker;
    worker.on('message', (said: Said) => {
      if (said.kind === 'failed') this.fail(said.because);
      else this.waiting?.resolve(said);
    });
    worker.on('error', (error: unknown) => this.fail(error instanceof Error ? error.message : String(error)));
    worker.on('messageerror', (error) => this.fail(error.message));
    worker.on('exit', (code) => this.fail(`it ended by itself with code ${code}`));
  }

  /** What it says next; rejects where it has failed, before or then. */
  answer(): Promise<Said> {
    return new Promise((resolve, reject) => {
      this.waiting = { resolve, reject };
      if (this.failure) reject(this.failure);
    });
  }

  work(batch: Batch): Promise<Said> {
    this.worker.postMessage(batch);
    return this.answer();
  }

  async end(): Promise<void> {
    await this.worker.terminate();
  }

  private fail(because: string): void {
    this.failure ??= new Error(`a worker of the design search failed: ${because}`);
    this.waiting?.reject(this.failure);
  }
}
