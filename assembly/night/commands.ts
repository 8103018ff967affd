/** What the link asks of nights, shows and records. */
import { Result, Type } from '../answer';
import { setTime } from './events';
import { list } from './listing';
import { runShow, stopShow } from './night';
import { addPart, beginNight, commitNight, removeShow } from './receiving';
import { sendLog } from './record';

/** A command of n bytes at `at`. Returns its answer, or that it comes later. */
export function nightCommand(type: Type, sequence: u8, at: usize, n: u32): Result {
  switch (type) {
    case Type.nightBegin:
      return beginNight(sequence, at, n);
    case Type.nightPart:
      return addPart(sequence, at, n);
    case Type.nightCommit:
      return commitNight(sequence, n);
    case Type.nightList:
      return list(sequence, at, n);
    case Type.showRun:
      return n == 3
        ? (i32(runShow(load<u8>(at), u32(load<u8>(at, 1)) | (u32(load<u8>(at, 2)) << 8))) as Result)
        : Result.malformed;
    case Type.showStop:
      return n == 0 ? (i32(stopShow()) as Result) : Result.malformed;
    case Type.showRemove:
      return removeShow(sequence, at, n);
    case Type.readLog:
      if (n != 5) return Result.malformed;
      sendLog(load<u8>(at), loadWord(at + 1));
      return Result.later;
    default:
      return tellTime(at, n);
  }
}

/** A word that need not be aligned: not every chip reads across a word's edge. */
function loadWord(at: usize): u32 {
  return u32(load<u8>(at)) | (u32(load<u8>(at, 1)) << 8) | (u32(load<u8>(at, 2)) << 16) | (u32(load<u8>(at, 3)) << 24);
}

/** Payload: u32 seconds since 1970, now. */
function tellTime(at: usize, n: u32): Result {
  if (n != 4) return Result.malformed;
  setTime(load<u32>(at));
  return Result.done;
}
