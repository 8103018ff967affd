/** The page's line to the server, which holds the board's: what is said there, and what this page asks. */
import { columnsOf } from '../../take/lanes.ts';
import { takeText } from '../../take/file.ts';
import type { FromLine, ToLine } from '../../line-words.ts';
import { boardSays, drives, rig, said, take } from '../state.ts';

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

/** Saves the take in the rig's folder. @returns its file's name; null: the server says why not, in the status line */
export async function saveTake(): Promise<string | null> {
  if (!rig.value) return null;
  const name = `${take.value.name.replace(/\.csv$/, '')}.csv`;
  const body = takeText(take.value, columnsOf(rig.value));
  const response = await fetch(`streams/${encodeURIComponent(name)}`, { method: 'PUT', body });
  if (response.ok) return name;
  said.value = await response.text();
  return null;
}

/** Saves the take, then plays it on the board from its beginning. */
export async function playOnBoard(): Promise<void> {
  const name = await saveTake();
  if (name !== null) askLine({ do: 'play', name, from_s: 0 });
}
