/** The worker: the prop on its stand, brought on as the page asks. */
import { rigFrom } from '../../transfer.ts';
import type { FromEngine, ToEngine } from './protocol.ts';
import { Stand } from './stand.ts';

/** A page that slept has missed what is further back than this, us. */
const MISSED_US = 250_000;

let stand: Stand | null = null;
/** The stand's time less the page's, us. */
let offset_us: number | null = null;

const tell = (what: FromEngine): void => {
  postMessage(what);
};

function run(to_ms: number): void {
  if (!stand) return;
  const behind_us = to_ms * 1000 + (offset_us ?? Infinity) - stand.now_us;
  // The first time, and after a sleep, the page's now is the stand's now.
  if (!(behind_us <= MISSED_US)) offset_us = stand.now_us - to_ms * 1000;
  else stand.run(stand.now_us + behind_us);
  const pulses = stand.played();
  if (pulses) tell({ said: 'played', pulses });
  tell({ ...stand.look(), at_ms: (stand.now_us - (offset_us ?? 0)) / 1000 });
}

async function take(asked: ToEngine): Promise<void> {
  if (asked.do === 'start') {
    stand = await Stand.open(rigFrom(asked.rig), new Uint8Array(asked.wasm));
    tell({ said: 'ready' });
  } else if (asked.do === 'run') run(asked.to_ms);
  else if (asked.do === 'hand') stand?.follower.hand(asked.values);
  else if (asked.do === 'release') stand?.follower.release();
  else if (asked.do === 'over') stand?.follower.over(asked.values);
  else if (asked.do === 'sense') stand?.sense(asked);
  else if (asked.do === 'play') await stand?.follower.play(asked.text, asked.from_s);
  else stand?.follower.command(asked.do);
}

addEventListener('message', ({ data }: MessageEvent<ToEngine>) => {
  take(data).catch((error: unknown) => {
    tell({ said: 'fault', words: error instanceof Error ? error.message : String(error) });
  });
});
