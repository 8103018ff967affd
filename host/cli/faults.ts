/** What the system says of a file, in words. */

export const FAULTS = {
  ENOENT: 'there is no such file',
  EISDIR: 'this is a folder, not a file',
  ENOTDIR: 'part of this path is a file, not a folder',
  EACCES: 'this file may not be read or written',
  EPERM: 'this file may not be read or written',
  ENOSPC: 'the disk is full',
  EDQUOT: 'the disk has no more room for this user',
  EFBIG: 'this file would be larger than this system lets it be',
  EROFS: 'this disk is read-only',
  ENAMETOOLONG: 'this name is longer than this disk can hold',
  ELOOP: 'this is a link that leads back to itself',
  EIO: 'the disk failed',
  ENXIO: 'this is no file that can be read',
  EMFILE: 'this program has as many files open as the system lets it have',
} as const;

const isKnown = (code: string): code is keyof typeof FAULTS => Object.hasOwn(FAULTS, code);

/** What the operating system found wrong, in words; anything else is a bug and is thrown on. */
export function faultWords(error: unknown): string {
  if (!(error instanceof Error) || !('code' in error) || !('syscall' in error)) throw error;
  const code = String(error.code);
  return isKnown(code) ? FAULTS[code] : error.message;
}
