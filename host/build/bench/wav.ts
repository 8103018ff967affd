/** A sound as a file that a browser decodes: RIFF WAVE, PCM of 16 bit, one channel. */

export const RATE_HZ = 16_000;

/**
 * Layout: Microsoft and IBM, "Multimedia Programming Interface and Data Specifications 1.0", 1991, chapter "Waveform Audio File Format".
 * @param sampleAt of the n-th sample, in 1/32768 of full scale; rounded
 */
export function wavOf(seconds: number, sampleAt: (n: number) => number): Buffer {
  const count = Math.round(seconds * RATE_HZ);
  const wav = Buffer.alloc(44 + 2 * count);
  wav.write('RIFF', 0);
  wav.writeUInt32LE(36 + 2 * count, 4);
  wav.write('WAVEfmt ', 8);
  // Of the format: its length, PCM, channels, samples and bytes a second, bytes and bits a sample.
  wav.writeUInt32LE(16, 16);
  wav.writeUInt16LE(1, 20);
  wav.writeUInt16LE(1, 22);
  wav.writeUInt32LE(RATE_HZ, 24);
  wav.writeUInt32LE(2 * RATE_HZ, 28);
  wav.writeUInt16LE(2, 32);
  wav.writeUInt16LE(16, 34);
  wav.write('data', 36);
  wav.writeUInt32LE(2 * count, 40);
  for (let n = 0; n < count; n++) wav.writeInt16LE(Math.round(sampleAt(n)), 44 + 2 * n);
  return wav;
}
