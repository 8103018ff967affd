/** A rig between the server, which reads the file, and the page: JSON, in which Infinity and maps are said, since JSON loses both. */
import type { Rig } from '../rig/rig.ts';

const INFINITE = '∞';

/** The rig as text. */
export const rigText = (rig: Rig): string =>
  JSON.stringify(rig, (_key, value: unknown) => {
    if (value === Infinity) return { [INFINITE]: 1 };
    if (value === -Infinity) return { [INFINITE]: -1 };
    return value instanceof Map ? { map: [...(value as Map<unknown, unknown>)] } : value;
  });

/** The rig that `rigText` made the text of. */
export const rigFrom = (text: string): Rig =>
  JSON.parse(text, (_key, value: unknown) => {
    if (typeof value !== 'object' || value === null) return value;
    if (INFINITE in value) return value[INFINITE] === 1 ? Infinity : -Infinity;
    return 'map' in value && Array.isArray(value.map) ? new Map(value.map as [unknown, unknown][]) : value;
  }) as Rig;
