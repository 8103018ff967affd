/** The comments that open a stream: who made it, and whose it is. */
import type { StreamSource } from './read.ts';

/** No opening is longer than this. */
const LONGEST_BYTES = 65536;

/** Lines that begin with # before the header, without their line ends. The source can be read again, and has been. */
export async function leadingComments(source: StreamSource): Promise<readonly string[]> {
  const decoder = new TextDecoder();
  let text = '';
  for await (const chunk of source) {
    text += decoder.decode(chunk, { stream: true });
    if (text.length >= LONGEST_BYTES) break;
  }
  const lines = text.split(/\r?\n/);
  const header = lines.findIndex((line) => line.trim() !== '' && !line.trim().startsWith('#'));
  return lines.slice(0, Math.max(0, header)).filter((line) => line.trim() !== '');
}
