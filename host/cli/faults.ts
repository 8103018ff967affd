/** What the system says of a file, in words. */

export const FAULTS = {
  ENOENT: 'there is no such file',
  EISDIR: 'this is a folder, not a file',
  ENOTDIR: 'part of this path is a file, not a folder',
  EACCES: 'this file may not be read or written',
  EPERM: 'this file may not be read or written',
  ENOSPC: 'the disk is full',
  EDQUOT: 'your quota on this disk is used up',
  EFBIG: 'this file would be larger than the system allows',
  EROFS: 'this disk is read-only',
  ENAMETOOLONG: 'this name is too long for this disk',
  ELOOP: 'this is a link that leads back to itself',
  EIO: 'the disk failed',
  ENXIO: 'this file cannot be read',
  EMFILE: 'too many files are open',
} as const;

const isKnown = (code: string): code is keyof typeof FAULTS => Object.hasOwn(FAULTS, code);

/** What the operating system found wrong, in words; anything else is a bug and is thrown on. */
export function faultWords(error: unknown): string {
  if (!(error instanceof Error) || !('code' in error) || !('syscall' in error)) throw error;
  const code = String(error.code);
  return isKnown(code) ? FAULTS[code] : error.message;
}
