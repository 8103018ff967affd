/** `estimate`: the plate's geometry, from readings at the prop or from a table of them. What it works with is loaded when it is asked for. */
import { type Verb } from '../verb.ts';

export const ESTIMATE: Verb = {
  takes: 'estimate [poses=16] [centres] [zero] [table=FILE] [h1=X,Y,Z]',
  says: 'moves the walked plate slowly to poses, asks for its height and tilts at each, and fits the geometry; with table=FILE it fits readings that were kept. centres: each leg’s centre pulse too; zero: where heights are measured from, too; h1: where a table’s h1_mm is measured',
  joint: 'none',
  number: null,
  rodsOff: false,
  run: async (bench, person, words) => (await import('../estimate/run.ts')).runEstimate(bench, person, words),
};
