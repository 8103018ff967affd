/**
 * A night comes in over the link, page by page into the half that is not in force, its head last: until then the night before counts.
 * And shows are removed. Only in limp, without pulses; what takes longer than a tick is answered when it is done.
 */
import { PAGE_BYTES, PAGE_OUT, outputs } from '../layout';
import { Result, Type, answerTo } from '../answer';
import { crc32, crc32On } from '../crc';
import { State } from '../states';
import {
  archiveBusy,
  archiveOpen,
  halfPage,
  isRemoved,
  newestHalf,
  newestSequence,
  openArchive,
  removedWith,
  rigInForce,
  setRemoved,
  showCount,
} from './archive';
import { HEAD_CRC_OF, Head, PLAN_PAGE, REMOVED_PAGE, isHead } from './head';
import { missing } from './listing';
import { nightState } from './night';
import {
  Owner,
  PageState,
  claimPages,
  eraseSectorAt,
  halfPages,
  liesStill,
  pageAt,
  pageState,
  program,
  releasePages,
  sectorPages,
} from './pages';
import { Night, PLAN_PAGES } from './plan';

/** Bytes that a part carries; two make a page. */
const PART_BYTES: u32 = 128;

/** What is being done to the flash for a command that waits for its answer. */
const enum Job {
  none = 0,
  begin = 1,
  erase = 2,
  page = 3,
  check = 4,
  head = 5,
  remove = 6,
}


@unmanaged
class Receiving {
  job: Job;
  /** The job's writing is under way. */
  writing: bool;
  /** The night that came last is in force: a commit that is repeated is done. */
  committed: bool;
  /** The command that waits for the job. */
  type: u8;
  sequence: u8;
  show: u8;
  /** Pages announced, 0: none; bytes that have come; the first page of the half they go to. */
  pages: u32;
  received: u32;
  half: u32;
  /** Checking the plan: pages done and their CRC. */
  page: u32;
  crc: u32;
}
const RECEIVING: usize = memory.data(i32(offsetof<Receiving>()));
/** The night's head, which waits for the rest; and the page that is coming in. */
const HEAD: usize = memory.data(i32(PAGE_BYTES));
const PAGE: usize = memory.data(i32(PAGE_BYTES));
// @ts-ignore: decorator
@inline function receiving(): Receiving {
  return changetype<Receiving>(RECEIVING);
}

export function startReceiving(): void {
  memory.fill(RECEIVING, 0, offsetof<Receiving>());
}

/** It rests, and nothing has warned that it will not for long. */
// @ts-ignore: decorator
@inline function limp(): bool {
  return outputs().state == State.limp && liesStill() && nightState() != Night.warning;
}

/** The answer is that of the job. */
function start(job: Job, type: Type, sequence: u8): Result {
  const r = receiving();
  r.job = job;
  r.writing = false;
  r.type = u8(type);
  r.sequence = sequence;
  return Result.later;
}

/** Payload: u32 pages of the night to come. */
export function beginNight(sequence: u8, at: usize, n: u32): Result {
  const r = receiving();
  if (n != 4) return Result.malformed;
  if (!halfPages()) return Result.noNight;
  if (!limp()) return Result.notNow;
  const pages = load<u32>(at);
  if (r.job != Job.none) {
    if (r.job != Job.begin || r.pages != pages) return Result.notNow;
    r.sequence = sequence;
    return Result.later;
  }
  r.pages = 0;
  r.committed = false;
  if (pages < PLAN_PAGE + PLAN_PAGES) return Result.malformed;
  if (pages > halfPages()) return Result.noRoom;
  r.pages = pages;
  r.received = 0;
  return start(Job.begin, Type.nightBegin, sequence);
}

/** Payload: u32 offset, then 128 bytes. Parts come in order; a repeated one is taken once. The second of a page waits for the flash. */
export function addPart(sequence: u8, at: usize, n: u32): Result {
  const r = receiving();
  if (!r.pages || n != 4 + PART_BYTES) return Result.malformed;
  if (!limp()) return Result.notNow;
  const offset = load<u32>(at);
  if (offset < r.received && !(offset & (PART_BYTES - 1))) {
    if (r.job != Job.erase && r.job != Job.page) return Result.done;
    if (offset + PART_BYTES != r.received) return Result.done;
    r.sequence = sequence;
    return Result.later;
  }
  if (r.job != Job.none) return Result.notNow;
  if (offset != r.received || offset >= r.pages * PAGE_BYTES) return Result.malformed;
  memory.copy(PAGE + usize(offset & (PAGE_BYTES - 1)), at + 4, usize(PART_BYTES));
  r.received += PART_BYTES;
  if (r.received & (PAGE_BYTES - 1)) return Result.done;
  if (r.received == PAGE_BYTES) return takeHead();
  const first = lastPage() % sectorPages() == 0;
  return start(first ? Job.erase : Job.page, Type.nightPart, sequence);
}

/** The page of the night that came last. */
// @ts-ignore: decorator
@inline function lastPage(): u32 {
  return receiving().received / PAGE_BYTES - 1;
}

function takeHead(): Result {
  memory.copy(HEAD, PAGE, usize(PAGE_BYTES));
  const head = changetype<Head>(HEAD);
  if (!isHead(HEAD) || head.pages != receiving().pages) return giveUp(Result.malformed);
  return head.fingerprint == rigInForce() ? Result.done : giveUp(Result.otherRig);
}

/** What has come so far is of no use. */
function giveUp(why: Result): Result {
  receiving().pages = 0;
  return why;
}

/** No payload. */
export function commitNight(sequence: u8, n: u32): Result {
  const r = receiving();
  if (n != 0) return Result.malformed;
  if (r.committed) return Result.done;
  if (r.job == Job.check || r.job == Job.head) {
    r.sequence = sequence;
    return Result.later;
  }
  if (!r.pages || r.received != r.pages * PAGE_BYTES) return Result.malformed;
  if (!limp() || r.job != Job.none) return Result.notNow;
  if (changetype<Head>(HEAD).fingerprint != rigInForce()) return giveUp(Result.otherRig);
  r.page = 0;
  r.crc = 0;
  return start(Job.check, Type.nightCommit, sequence);
}

/** Payload: u8 show. */
export function removeShow(sequence: u8, at: usize, n: u32): Result {
  const r = receiving();
  if (n != 1) return Result.malformed;
  const k = load<u8>(at);
  if (r.job == Job.remove && r.show == k) {
    r.sequence = sequence;
    return Result.later;
  }
  if (!limp() || r.job != Job.none) return Result.notNow;
  r.show = k;
  return start(Job.remove, Type.showRemove, sequence);
}

/** Whether the show is there to be removed: later; otherwise the answer. */
function judgeRemoval(k: u32): Result {
  if (!archiveOpen()) return missing();
  if (k >= showCount()) return Result.malformed;
  return isRemoved(k) ? Result.done : Result.later;
}

/** Begins the removal, once it is known what there is. */
function tendRemoval(r: Receiving): void {
  if (archiveBusy()) return;
  const answer = judgeRemoval(r.show);
  if (answer != Result.later) end(r, answer);
  else if (claimPages(Owner.receiving)) r.writing = write(r);
}

/** One tick of it, behind the link's. */
export function tendReceiving(): void {
  const r = receiving();
  if (r.job == Job.none) return;
  if (!limp()) {
    giveUp(Result.notNow);
    end(r, Result.notNow);
  } else if (r.job == Job.check) checkPlan(r);
  else if (r.writing) written(r);
  else if (r.job == Job.remove) tendRemoval(r);
  else if (claimPages(Owner.receiving)) r.writing = write(r);
}

/** Begins the job's writing; false while it must wait. */
function write(r: Receiving): bool {
  switch (r.job) {
    case Job.begin:
      if (archiveBusy()) return false;
      r.half = newestHalf() == 0 ? halfPages() : 0;
      return eraseSectorAt(r.half);
    case Job.erase:
      return eraseSectorAt(r.half + lastPage());
    case Job.page:
      memory.copy(PAGE_OUT, PAGE, usize(PAGE_BYTES));
      return program(r.half + lastPage());
    case Job.head:
      memory.copy(PAGE_OUT, HEAD, usize(PAGE_BYTES));
      return program(r.half);
    default:
      removedWith(r.show, PAGE_OUT);
      return program(halfPage() + REMOVED_PAGE);
  }
}

/** Looks how the job's writing went, and what comes after it. */
function written(r: Receiving): void {
  const state = pageState();
  if (state == PageState.busy) return;
  r.writing = false;
  releasePages(Owner.receiving);
  if (state != PageState.done) {
    if (r.job != Job.remove) giveUp(Result.notStored);
    end(r, Result.notStored);
    return;
  }
  if (r.job == Job.erase) {
    r.job = Job.page;
    return;
  }
  if (r.job == Job.remove) setRemoved(r.show);
  if (r.job == Job.head) {
    giveUp(Result.done);
    r.committed = true;
    openArchive();
  }
  end(r, Result.done);
}

function end(r: Receiving, result: Result): void {
  releasePages(Owner.receiving);
  r.job = Job.none;
  r.writing = false;
  answerTo(r.type, r.sequence, result);
}

/** A page of plan and entries, as the flash has them; with the last one the head gets its sequence, and may be written. */
function checkPlan(r: Receiving): void {
  // Which night is the newest may just be looked for.
  if (archiveBusy()) return;
  const at = pageAt(r.half + PLAN_PAGE + r.page);
  if (!at) return;
  const head = changetype<Head>(HEAD);
  r.crc = crc32On(r.crc, at, PAGE_BYTES);
  r.page += 1;
  if (r.page < u32(head.plan_pages)) return;
  if (r.crc != head.plan_crc) {
    giveUp(Result.damaged);
    end(r, Result.damaged);
    return;
  }
  head.sequence = newestSequence() + 1;
  head.crc = crc32(HEAD, HEAD_CRC_OF);
  r.job = Job.head;
}
