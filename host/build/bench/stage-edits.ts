/** The verdict after edits alone; --cold: the first of them finds code that has judged no edit yet. */
import { parseArgs } from 'node:util';
import { verdictOfEdit } from './stage-verdict.ts';

const { values } = parseArgs({ options: { cold: { type: 'boolean', default: false } } });
process.stdout.write(`${await verdictOfEdit(() => performance.now(), !values.cold)}\n`);
