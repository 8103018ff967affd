/** Joins a program that listens at a path. */
import { type Socket, connect } from 'node:net';

/** Between two tries. */
const AGAIN_MS = 5;

/**
 * Connects to the socket at a path. A path that is there but refuses is tried again for so long: a program makes the path first
 * and listens then (bind(2), listen(2)). Rejects with the system's error.
 */
export async function connectTo(path: string, within_ms: number): Promise<Socket> {
  for (let waited_ms = 0; ; waited_ms += AGAIN_MS) {
    try {
      return await connectOnce(path);
    } catch (error) {
      if ((error as NodeJS.ErrnoException).code !== 'ECONNREFUSED' || waited_ms >= within_ms) throw error;
    }
    await new Promise((resolve) => setTimeout(resolve, AGAIN_MS));
  }
}

function connectOnce(path: string): Promise<Socket> {
  return new Promise((resolve, reject) => {
    const socket = connect(path);
    socket.once('connect', () => {
      socket.removeAllListeners('error');
      resolve(socket);
    });
    socket.once('error', reject);
  });
}
