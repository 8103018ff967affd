/** Parts of the log on the link: the message that answers readLog. */
import { HEAD_BYTES, OUT, Type, send } from '../answer';
import { boots, wear } from './events';
import { seen } from './seen';

/** Whole records in so many bytes at most, behind which, 0, u16 bytes, u32 n, u32 count, u32 uptime, u16 boots, u16 wear. */
export const PART_BYTES: u32 = 448;
const PART_HEAD: u32 = 20;
/** They are put here before they are sent. */
// @ts-ignore: decorator
@inline export function partAt(): usize {
  return OUT + usize(HEAD_BYTES + PART_HEAD);
}

/** Sends a part whose bytes stand behind its head already. n: number of the first record in it; count: how many there are in all. */
export function sendPart(which: u8, bytes: u32, n: u32, count: u32): void {
  const to = OUT + usize(HEAD_BYTES);
  store<u8>(OUT, Type.logPart);
  store<u8>(to, which);
  store<u8>(to, 0, 1);
  store<u16>(to, u16(bytes), 2);
  store<u32>(to, n, 4);
  store<u32>(to, count, 8);
  store<u32>(to, seen().at_ds, 12);
  store<u16>(to, boots(), 16);
  store<u16>(to, wear(), 18);
  send(HEAD_BYTES + PART_HEAD + bytes);
}
