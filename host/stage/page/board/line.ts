/** The page's line to the server, which holds the board's: what is said there, and what this page asks. */
import type { BoardSays, FromLine, ToLine } from '../../line-words.ts';
import { boardCourse, boardDelivered, boardSays, boardStance, drives, rig, said, take } from '../state.ts';
import { save, saved } from '../takes/files.ts';
import { playing } from '../takes/play.ts';
import { goTo } from '../takes/view.ts';
import { BoardDelivered } from './delivered.ts';

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
    forget();
    drives.value = null;
    setTimeout(startLine, AGAIN_MS);
  });
}

function heard(what: FromLine): void {
  if (what.said === 'you') drives.value = what.drives;
  else if (what.said === 'board') heardBoard(what);
  else {
    said.value = what.words;
    if (!what.isOpen) forget();
  }
}

/** Nothing is known of the board any more. */
const forget = (): void => {
  [boardSays.value, boardStance.value] = [null, null];
};

/** Samples between two drawings of the course. */
const DRAWN_EACH = 5;

function heardBoard(says: BoardSays): void {
  boardDelivered.value ??= new BoardDelivered(rig.value!);
  const before = boardDelivered.value.count;
  const stance = boardDelivered.value.push(says);
  const { count } = boardDelivered.value;
  if (count < before || (count > before && count % DRAWN_EACH === 0)) boardCourse.value++;
  [boardStance.value, boardSays.value] = [stance, says];
  follow(says);
}

/** The cursor goes with the take that the board plays, where this page has it open and plays nothing itself. */
function follow({ take: name, told_s }: BoardSays): void {
  if (told_s !== null && name === `${take.value.name}.csv` && playing.peek() === 'no') goTo(told_s);
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
