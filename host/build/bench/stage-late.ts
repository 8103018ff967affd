/** Late frames to a board alone, for as long and under as much load as is asked: --minutes (1), --busy cores (1). */
import { parseArgs } from 'node:util';
import { lateFrames } from './stage-board.ts';

const { values } = parseArgs({
  options: { minutes: { type: 'string', default: '1' }, busy: { type: 'string', default: '1' } },
});
process.stdout.write(`${await lateFrames({ minutes: Number(values.minutes), busy: Number(values.busy) })}\n`);
