/** What a browser keeps for a person from one visit to the next: how the eyes share a turn, what a gamepad moves. By rig. */
import { type Signal, effect } from '@preact/signals';

/** What was kept under a name, as data from outside; null: nothing. */
export function keptText(name: string): string | null {
  return stored()?.getItem(name) ?? null;
}

/** Keeps a text under a name; without room it is as if it had not been kept. */
export function keepText(name: string, text: string): void {
  try {
    stored()?.setItem(name, text);
  } catch {
    stored()?.removeItem(name);
  }
}

/** Some browsers, or their owners, keep nothing: then it is as usual. */
function stored(): Storage | null {
  try {
    return globalThis.localStorage;
  } catch {
    return null;
  }
}

/**
 * Gives a signal what was kept under a name, if it is that, and keeps it from then on.
 * @param read what was kept, as data from outside; null: it is not that
 */
export function keep<T>(name: string, of: Signal<T>, read: (kept: unknown) => T | null): void {
  const store = stored();
  try {
    const kept = read(JSON.parse(store?.getItem(name) ?? 'null'));
    if (kept !== null) of.value = kept;
  } catch {
    // What is there is no JSON: it is written over with the next change.
  }
  let isFirst = true;
  effect(() => {
    const now = JSON.stringify(of.value);
    if (!isFirst)
      try {
        store?.setItem(name, now);
      } catch {
        // No room: it holds for this visit.
      }
    isFirst = false;
  });
}
