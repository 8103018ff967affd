/** What is piped in and never ends: read no further than it must be, and never held without bound. */
import { expect, it } from 'vitest';
import { Held, readStreamFile } from '../../../host/cli/stream-input.ts';
import { readRig } from '../../../host/rig/read.ts';
import { OWL } from '../rig/owl.ts';

const io = (stdin: AsyncIterable<Uint8Array>): Parameters<typeof readStreamFile>[2] => ({
  stdout: { write: () => true },
  stderr: { write: () => true },
  stdin,
  env: {},
  now: () => 0,
  onInterrupt: () => undefined,
});

it('a line without end is read no further than a line may be long', async () => {
  let given = 0;
  const zeros = (async function* () {
    for (; given < 1000; given++) yield await Promise.resolve(new Uint8Array(1 << 17));
  })();
  const { source, problems } = await readStreamFile('-', readRig(OWL).rig!, io(zeros));
  expect(source).toBeNull();
  expect(problems.map(({ message }) => message)).toEqual([expect.stringContaining('this line does not end')]);
  expect(given).toBeLessThan(3);
});

it('rows without end are held up to a bound', async () => {
  let given = 0;
  const rows = (async function* () {
    for (; given < 1000; given++) yield await Promise.resolve(new Uint8Array(100));
  })();
  const held = new Held(rows, 1000);
  let seen = 0;
  for await (const chunk of held) seen += chunk.length;
  expect([seen, held.chunks.length, held.isFull]).toEqual([1000, 10, true]);
  expect(given).toBe(10);
});
