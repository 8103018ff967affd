/** What the pool and its workers say to each other. The points and the answers lie in memory that both see. */
import type { Problem, Shape } from '../../design/search/problem.ts';

/** What a worker starts from. */
export interface Start {
  /** Address of a `ProblemModule`. */
  readonly problem: string;
  readonly description: unknown;
}

/** A module that a worker loads. */
export interface ProblemModule {
  /** Of the description that the pool was given, which each worker has a copy of; throws, in words, where there is none. */
  readonly problemOf: (description: unknown) => Problem;
}

/** To a worker: points to share with the others. */
export interface Batch {
  /** n × dims */
  readonly xs: Float64Array<SharedArrayBuffer>;
  /** n × (objectives + constraints), by index */
  readonly answers: Float64Array<SharedArrayBuffer>;
  /** One number: the first point that nobody has taken yet. */
  readonly next: Int32Array<SharedArrayBuffer>;
  readonly n: number;
  /** Points taken at a time. */
  readonly chunk: number;
}

/** From a worker: once that it is ready, then once for each batch, or why not. */
export type Said =
  | { readonly kind: 'ready'; readonly shape: Shape }
  | { readonly kind: 'done' }
  | { readonly kind: 'failed'; readonly because: string };
