/** The page's line to the server, which holds the board's: what is said there, and what this page asks. */
import type { FromLine, ToLine } from '../../line-words.ts';
import { boardSays, drives, said, take } from '../state.ts';
import { save, saved } from '../takes/files.ts';

/** So often the page says that it is awake, and so long after a line that broke it tries again, ms. */
const [HERE_MS, AGAIN_MS] = [250, 2000];

let socket: WebSocket | null = null;

export function startLine(): void {
  const address = new URL('line', location.href);
  address.protocol = 'ws:';
  const opened = new WebSocket(address);
  let here = 0;
  opened.addEventListener('open', () => {
    socket = opened;
    here = setInterval(() => {
      askLine({ do: 'here' });
    }, HERE_MS) as unknown as number;
  });
  opened.addEventListener('message', ({ data }: MessageEvent<string>) => {
    heard(JSON.parse(data) as FromLine);
  });
  opened.addEventListener('close', () => {
    clearInterval(here);
    socket = null;
    [boardSays.value, drives.value] = [null, null];
    setTimeout(startLine, AGAIN_MS);
  });
}

function heard(what: FromLine): void {
  if (what.said === 'you') drives.value = what.drives;
  else if (what.said === 'board') boardSays.value = what;
  else {
    said.value = what.words;
    if (!what.isOpen) boardSays.value = null;
  }
}

/** Nothing comes of it where the server is gone, or another page drives. */
export const askLine = (what: ToLine): void => {
  if (socket?.readyState === WebSocket.OPEN) socket.send(JSON.stringify(what));
};

/** Saves the take, then plays it on the board from its beginning. */
export async function playOnBoard(): Promise<void> {
  await save();
  if (saved.value) askLine({ do: 'play', name: `${take.value.name}.csv`, from_s: 0 });
}
