/** What a rig senses beside its stop loop, by names of its own: its night's inputs. */
import type { Rig } from './rig.ts';

/** Names and their numbers: of `night: inputs` (bits of Inputs.closed) and of `night: analog` (places in Inputs.analog). */
export interface Senses {
  readonly inputs: Readonly<Record<string, number>>;
  readonly analog: Readonly<Record<string, number>>;
}

interface Named {
  readonly name: string;
}

/** In the file's order, which is that of the plan's pins. */
export function sensesOf(
  rig: Rig & { readonly night?: { readonly inputs: readonly Named[]; readonly analog: readonly Named[] } | null },
): Senses {
  const numbered = (list: readonly Named[] = []): Record<string, number> =>
    Object.fromEntries(list.map(({ name }, i) => [name, i]));
  return { inputs: numbered(rig.night?.inputs), analog: numbered(rig.night?.analog) };
}
