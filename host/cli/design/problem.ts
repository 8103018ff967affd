/** The problem of a want, for the threads of a search. The build makes dist/design-problem.mjs of it. */
import { type Description, subjectOf } from '../../design/problem-of.ts';
import type { Problem } from '../../design/search/problem.ts';

/** @param description as the command sent it */
export const problemOf = (description: unknown): Problem => subjectOf(description as Description).problem;
