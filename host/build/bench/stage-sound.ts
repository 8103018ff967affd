/** Jaw against sound alone, for as long as is asked: --seconds (180). */
import { parseArgs } from 'node:util';
import { jawAgainstSound } from './stage-jaw.ts';
import { withStage } from './stage-open.ts';

const { values } = parseArgs({ options: { seconds: { type: 'string', default: '180' } } });
const for_s = Number(values.seconds);
if (!(for_s >= 3)) throw new Error('--seconds takes a number of at least 3');
await withStage(async ({ browser, url, folder }) => {
  process.stdout.write(`${await jawAgainstSound(browser, url, folder, for_s)}\n`);
});
