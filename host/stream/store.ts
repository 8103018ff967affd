/** A whole stream into memory. */
import { type StreamRig, type StreamSource, readStream, streamJoints } from './read.ts';
import { StoredStream } from './stored.ts';

/** The frames of a stream that has been scanned before: it has no errors. */
export async function storeStream(source: StreamSource, rig: StreamRig): Promise<StoredStream> {
  const stream = new StoredStream(streamJoints(rig).length);
  for await (const { frames } of readStream(source, rig)) for (const frame of frames) stream.push(frame);
  return stream;
}
