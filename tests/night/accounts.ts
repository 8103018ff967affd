/**
 * Keeps account of one power-on: what the night was doing, as the running record has it, and what the log noted. Every show that was asked
 * for, by a pin, the schedule or the loop, has been played to its end, or the log says why not, or the power went.
 */
import type { LogEvent, LogRecord } from '../../host/shows/log-frames.ts';
import type { Exhibit } from './exhibit.ts';

export const NIGHT = { ready: 2, cooling: 3, warning: 4, rousing: 5, crossing: 6, playing: 7, idle: 8 } as const;
/** What follows where nothing comes between. */
const FOLLOWING: ReadonlyMap<number, number> = new Map([
  [NIGHT.cooling, NIGHT.warning],
  [NIGHT.warning, NIGHT.rousing],
  [NIGHT.rousing, NIGHT.crossing],
  [NIGHT.crossing, NIGHT.playing],
]);
/** Kinds of events that say why a show is not played, or not to its end. */
const REASONS: readonly LogEvent['kind'][] = ['trip', 'stop', 'refused', 'damaged', 'response'];
/** The record is ten a second; an event is noted on the tick. s. */
const ABOUT_S = 0.7;
/** From the asking to the warning, s: debounced, its bytes checked, a sensor that has stuck and is served first. */
const SOON_S = 150;
/** What was not read in so long before the power went may have gone with it, s. */
const UNREAD_S = 25;

interface Phase {
  readonly night: number;
  readonly show: number;
  readonly from_s: number;
  to_s: number;
}

export interface Asked {
  readonly show: number;
  readonly at_s: number;
  readonly by: 'door' | 'schedule';
}

/** Of many power-ons. */
export class Sums {
  asked = 0;
  begun = 0;
  whole = 0;
  cooled = 0;
  /** Shows that were not begun, or not played to their end, by what the log says; 'power': it went. */
  readonly reasons = new Map<string, number>();

  told(): Readonly<Record<string, unknown>> {
    const { asked, begun, whole, cooled, reasons } = this;
    return { asked, begun, whole, cooled, reasons: Object.fromEntries(reasons) };
  }
}

export class Accounts {
  readonly phases: Phase[] = [];
  readonly events = new Map<number, LogEvent>();
  readonly asked: Asked[] = [];
  private readonly exhibit: Exhibit;
  private readonly sums: Sums;

  constructor(exhibit: Exhibit, sums: Sums) {
    this.exhibit = exhibit;
    this.sums = sums;
  }

  /** What the night was doing when the record was last read. */
  get night(): number {
    return this.phases.at(-1)?.night ?? 0;
  }

  record(records: readonly LogRecord[]): void {
    for (const { night, show, at_s } of records) {
      const last = this.phases.at(-1);
      if (last?.night === night && last.show === show) last.to_s = at_s;
      else {
        if (last) last.to_s = at_s;
        this.phases.push({ night, show, from_s: at_s, to_s: at_s });
      }
    }
  }

  note(events: readonly LogEvent[]): void {
    for (const event of events) this.events.set(event.n, event);
  }

  /** The power has gone: all is counted. Returns what cannot be explained. */
  close(end_s: number): string[] {
    const faults: string[] = [];
    const last = this.phases.at(-1);
    // While it rests the record says nothing more.
    if (last && last.night <= NIGHT.cooling) last.to_s = end_s;
    this.phases.forEach((phase, i) => {
      const fault = this.faultOf(phase, this.phases[i + 1] ?? null, end_s);
      if (fault) faults.push(fault);
    });
    for (const asked of this.asked)
      if (!this.isAnswered(asked, end_s))
        faults.push(
          `show ${String(asked.show)}, asked for by the ${asked.by} at ${asked.at_s.toFixed(1)} s, never came, and nothing says why`,
        );
    if (faults.length > 0) faults.push(this.story());
    return faults;
  }

  private faultOf(phase: Phase, next: Phase | null, end_s: number): string | null {
    const { night, show, from_s, to_s } = phase;
    if (night === NIGHT.playing) {
      this.sums.begun++;
      if (to_s - from_s > this.lengthOf(show) - 0.35) {
        this.sums.whole++;
        return null;
      }
      return this.broken(phase, end_s, `show ${String(show)} broke off after ${(to_s - from_s).toFixed(1)} s`);
    }
    if (night === NIGHT.cooling && next?.night === NIGHT.warning) this.sums.cooled++;
    const then = FOLLOWING.get(night);
    if (then !== undefined && next?.night !== then)
      return this.broken(phase, end_s, `phase ${String(night)} led to ${String(next?.night)}`);
    const { loop, pause_s } = this.exhibit.rig.night!;
    if (
      loop &&
      (night === NIGHT.ready || night === NIGHT.idle) &&
      to_s - from_s > pause_s + 20 &&
      !this.explained(to_s)
    )
      return `nothing began by itself from ${from_s.toFixed(1)} to ${to_s.toFixed(1)} s, and nothing says why`;
    return null;
  }

  private lengthOf(show: number): number {
    return ((this.exhibit.shows[show]?.show.frames ?? 0) - 1) / 50;
  }

  /** Why it ended early, if that is known. */
  private broken({ to_s }: Phase, end_s: number, what: string): string | null {
    const reason = [...this.events.values()].find(
      (event) => REASONS.includes(event.kind) && Math.abs(event.at_s - to_s) < ABOUT_S,
    );
    const power = end_s - to_s < UNREAD_S ? 'power' : null;
    const why = reason ? `${reason.kind} ${String(reason.detail)}` : power;
    if (why === null) return `${what} at ${to_s.toFixed(1)} s, and nothing says why`;
    this.count(why);
    return null;
  }

  private count(why: string): void {
    this.sums.reasons.set(why, (this.sums.reasons.get(why) ?? 0) + 1);
  }

  /** Since the last show began, before this instant, something was noted that keeps shows from starting; or power was lost in motion. */
  private explained(at_s: number, until_s = at_s): string | null {
    const begun_s =
      this.phases.findLast(({ night, from_s }) => night === NIGHT.warning && from_s < at_s - 1)?.from_s ?? 0;
    const reason = [...this.events.values()].find(
      ({ kind, at_s: noted_s }) =>
        REASONS.includes(kind) && (noted_s >= begun_s - 0.2 || kind === 'damaged') && noted_s <= until_s + ABOUT_S,
    );
    return reason ? `${reason.kind} ${String(reason.detail)}` : null;
  }

  private isAnswered({ show, at_s, by }: Asked, end_s: number): boolean {
    this.sums.asked++;
    const played = this.phases.some(
      ({ night, show: its, from_s }) =>
        night >= NIGHT.crossing && night <= NIGHT.playing && its === show && from_s >= at_s && from_s < at_s + SOON_S,
    );
    if (played) return true;
    // Begun, and broken off before it could be told which it was: that is accounted for elsewhere.
    const begun = this.phases.some(
      ({ night, from_s }) => night === NIGHT.warning && from_s >= at_s - 0.2 && from_s < at_s + SOON_S,
    );
    const why =
      this.explained(at_s + 2, at_s + (by === 'schedule' ? SOON_S : 2)) ?? (end_s - at_s < SOON_S ? 'power' : null);
    if (!begun && why !== null) this.count(why);
    return begun || why !== null;
  }

  /** For whoever looks for the fault. */
  story(): string {
    const phases = this.phases.map(
      ({ night, show, from_s }) =>
        [from_s, `${from_s.toFixed(1)} night ${String(night)} show ${String(show)}`] as const,
    );
    const events = [...this.events.values()].map(
      (e) => [e.at_s, `${e.at_s.toFixed(1)} ${e.kind} ${String(e.detail)} (lost ${String(e.lost)})`] as const,
    );
    return [...phases, ...events]
      .sort((a, b) => a[0] - b[0])
      .map(([, text]) => text)
      .slice(-60)
      .join('\n');
  }
}
