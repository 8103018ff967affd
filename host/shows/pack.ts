/** One stream becomes one show: sampled, checked for what a show can say, its heat reckoned, packed. Whether it is within limits is not asked here. */
import { columnPlaces } from '../rig/night/night.ts';
import { percent } from '../load/words.ts';
import type { Rig } from '../rig/rig.ts';
import type { StoredStream } from '../stream/stored.ts';
import { encodeShow, unsayable } from './encode.ts';
import { WARMEST, WARMEST_SHARE, type Warmest, heatByte, heatsAlong, warmestIn } from './heat.ts';
import { NAME_BYTES, SHOWS } from './layout.ts';
import type { PackedShow } from './night-file.ts';
import { cuesOf, nightOf } from './plan.ts';
import { type Sampled, sampleStream } from './sample.ts';

export interface Packed {
  readonly show: PackedShow;
  readonly frames: Sampled;
  readonly warmest: Warmest;
}

/**
 * @param heard_s when the stream says that its sound is heard; null: it does not
 * @returns or why no show can say it, in words.
 */
export function packShow(rig: Rig, name: string, stream: StoredStream, heard_s: number | null): Packed | string {
  const frames = sampleStream(stream, rig);
  const beyond = unsayable(frames);
  if (beyond) {
    const [column = ''] =
      [...columnPlaces(rig.joints, rig.platform !== null)].find(([, place]) => place === beyond.place) ?? [];
    return `${column} goes further or faster at ${beyond.at_s.toFixed(2)} s than any show can say`;
  }
  const heats = heatsAlong(rig, frames);
  const warmest = warmestIn(rig, heats, frames.count);
  if (heatByte(warmest.warm) > WARMEST) return heatFault(rig, warmest);
  const data = encodeShow(
    frames,
    heats.map((segment) => Uint8Array.from(segment, heatByte)),
  );
  const { places, count } = frames;
  const show = { name, data, places, frames: count, warmest: heatByte(warmest.warm), ...cuesOf(rig, name, heard_s) };
  return { show, frames, warmest };
}

/** A board starts a show only when what it heats, added to what is warm already, stays within what the joint bears: this one never, or hardly ever. */
function heatFault(rig: Rig, { joint, warm }: Warmest): string {
  const name = joint === null ? 'a joint' : rig.joints[joint]!.name;
  return (
    `${name} gets to ${percent(warm)} of what its servo may bear for ever, from cold; allowed: up to ${percent(WARMEST_SHARE)}, since the board starts a show ` +
    `only where that and what is still warm from before stay within 100 %, and would hardly ever be cool enough for this one. Make the show shorter or its motion slower, let ${name} rest where it holds least, ` +
    `or take weight off it: load says what it carries`
  );
}

/** What is wrong with the names of the shows of one night: by name, in words. */
export function nameFaults(names: readonly string[]): { readonly name: string; readonly message: string }[] {
  const bytes = (name: string): number => new TextEncoder().encode(name).length;
  const twice = [...new Set(names.filter((name, i) => names.indexOf(name) !== i))];
  return [
    ...names
      .filter((name) => bytes(name) > NAME_BYTES)
      .map((name) => ({
        name,
        message: `its name has ${String(bytes(name))} bytes without .csv; allowed: up to ${String(NAME_BYTES)}, since shows are known by their streams' names`,
      })),
    ...twice.map((name) => ({
      name,
      message: `found ${String(names.filter((other) => other === name).length)} streams called ${name}; allowed: a name for each show`,
    })),
    ...names
      .slice(SHOWS, SHOWS + 1)
      .map((name) => ({ name, message: `found ${String(names.length)} shows; allowed: up to ${String(SHOWS)}` })),
  ];
}

/** Shows that the rig's night names and these are not: where in its file, and whether a start would fail. */
export function missingShows(rig: Rig, names: readonly string[]): { path: string; name: string; starts: boolean }[] {
  const { schedule, shows } = nightOf(rig);
  return [
    ...schedule.map(({ show }, i) => ({ path: `night.schedule.${String(i + 1)}.show`, name: show, starts: true })),
    ...shows.map(({ name }) => ({ path: `night.shows.${name}`, name, starts: false })),
  ].filter(({ name }) => !names.includes(name));
}

/** Names of all shows that the rig's night speaks of, once each. */
export function namedShows(rig: Rig): string[] {
  const { schedule, shows } = nightOf(rig);
  return [...new Set([...shows.map(({ name }) => name), ...schedule.map(({ show }) => show)])];
}

/** When a stream's text says that its sound is heard, as takes have it: `# sound hoot.wav at 0.5`. s; null: it does not. */
export function heardAt(text: string): number | null {
  const at = /^#\s*sound\s+.+?\s+at\s+(-?\d+(?:\.\d+)?)\s*$/m.exec(text)?.[1];
  return at === undefined ? null : Number(at);
}
