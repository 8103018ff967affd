/** The events as the link reads them: a part at a time, as soon as its page is there. */
import { EVENT_BYTES, book, sealed } from './events';
import { SLOTS_IN_PAGE, slot } from './log-flash';
import { log, other } from './log-state';
import { PART_BYTES, partAt, sendPart } from './part';

/** Events that a part holds at most. */
const MOST: u32 = PART_BYTES / u32(EVENT_BYTES);

/** Events from number n on: those of the older sector, of the one in force, then those that wait. */
export function answerEvents(n: u32): void {
  log().asked = true;
  log().from = n;
}

// @ts-ignore: decorator
@inline function inOlder(): u32 {
  return log().older ? log().older - 1 : 0;
}

/** One tick of the answer that the link waits for. */
export function answer(): void {
  const l = log();
  const older = inOlder();
  const inFlash = older + l.next - 1;
  if (l.from >= inFlash) {
    answerWaiting(inFlash);
    return;
  }
  const isOlder = l.from < older;
  const s = (isOlder ? l.from : l.from - older) + 1;
  const it = slot(isOlder ? other() : l.sector, s);
  if (!it) return;
  const end = isOlder ? older + 1 : l.next;
  let k = SLOTS_IN_PAGE - (s % SLOTS_IN_PAGE);
  if (k > end - s) k = end - s;
  memory.copy(partAt(), it, usize(k) * EVENT_BYTES);
  tell(k, inFlash);
}

/** Those that wait, behind so many in flash. */
export function answerWaiting(inFlash: u32): void {
  const first = log().from - inFlash;
  let k: u32 = 0;
  for (; first + k < u32(book().waiting) && k < MOST; k++) sealed(i32(first + k), partAt() + usize(k) * EVENT_BYTES);
  tell(k, inFlash);
}

function tell(k: u32, inFlash: u32): void {
  log().asked = false;
  sendPart(1, k * u32(EVENT_BYTES), log().from, inFlash + u32(book().waiting));
}
