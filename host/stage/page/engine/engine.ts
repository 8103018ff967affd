/** The worker: the controller and the plant, ticked as the page asks. */
import type { FromEngine, ToEngine } from './protocol.ts';

const tell = (what: FromEngine): void => {
  postMessage(what);
};

addEventListener('message', ({ data }: MessageEvent<ToEngine>) => {
  if (data.do === 'start') tell({ said: 'ready' });
});
