/** What `shows pack` says of a night, in words and as JSON. */
import { NOBODY } from '../../shows/layout.ts';
import type { Packed } from '../../shows/pack.ts';
import { nightOf } from '../../shows/plan.ts';
import { columnPlaces } from '../../rig/night/night.ts';
import { type Rig, toDeg } from '../../rig/rig.ts';
import { percent } from '../../load/words.ts';
import { together } from '../../rig/words.ts';
import { type Io, widthOf } from '../io.ts';
import { fixed, labelled, table } from '../output.ts';
import type { Night } from '../pack-night.ts';

const soundOf = (rig: Rig, { show }: Packed): string | null =>
  show.sound === NOBODY ? null : (nightOf(rig).shows.find(({ name }) => name === show.name)?.sound ?? null);

const warmestOf = (rig: Rig, { warmest }: Packed) =>
  warmest.joint === null ? null : { joint: rig.joints[warmest.joint]!.name, share: warmest.warm };

/** What of the idle life was cut: column, and how far it was asked to go and does. */
const cuts = ({ rig, idle }: Night) => {
  const columns = [...columnPlaces(rig.joints, rig.platform !== null)];
  const shown = (place: number, by: number): number => (place < 3 ? by : toDeg(by));
  return (idle?.cut ?? []).map(({ place, by, asked }) => ({
    column: columns.find(([, at]) => at === place)?.[0] ?? '',
    asked: shown(place, asked),
    taken: shown(place, by),
  }));
};

export const nightJson = (night: Night): Record<string, unknown> => ({
  ok: true,
  bytes: night.bytes,
  fits: night.fits,
  shows: night.packed.map((packed) => ({
    name: packed.show.name,
    seconds: packed.frames.seconds,
    bytes: packed.show.data.length,
    warmest: warmestOf(night.rig, packed),
    sound: soundOf(night.rig, packed),
  })),
  idle_cut: cuts(night),
});

export function nightWords(night: Night, file: string, io: Io): string {
  const { rig, packed, bytes, fits } = night;
  const rows = packed.map((one) => {
    const { show, frames } = one;
    const warmest = warmestOf(rig, one);
    const per_s = show.data.length / Math.max(frames.seconds, 1 / 50);
    return [
      show.name,
      fixed(frames.seconds, 2),
      String(show.data.length),
      fixed(per_s, 0),
      warmest ? `${warmest.joint} ${percent(warmest.share)}` : 'unknown',
      soundOf(rig, one) ?? '-',
    ];
  });
  const shows = table(
    [
      { head: 'show', align: 'left' },
      { head: 's' },
      { head: 'bytes' },
      { head: 'bytes/s' },
      { head: 'warmest' },
      { head: 'sound', align: 'left' },
    ],
    rows,
  );
  const facts = [
    ['file', `${file}, ${String(bytes)} bytes, for the rig ${rig.name} and no other`] as const,
    ['fits', fits.length > 0 ? together(fits) : 'no board'] as const,
  ];
  return `${shows}\n\n${labelled(facts, widthOf(io.stdout))}\n`;
}
