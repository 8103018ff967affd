/**
 * A fall on simulated metal, looked at again at a quarter of the step from a little before it: a prop that falls does so at any step,
 * and what falls at one step only is the sum's fault. Keeps the last half second of commands and states for that.
 */
import { Plant, type PlantState, REFRESH_S, STEP_S } from '../physics/plant/plant.ts';
import type { Rig } from '../rig/rig.ts';

const FINER = 4;
/** How far back it begins at least, s, and how long it waits for the fall with the last command. */
const [BACK_S, WAITS_S] = [0.25, 0.25];

interface Frame {
  readonly command: Float64Array;
  readonly frame_s: number;
}

interface Stretch {
  readonly from: PlantState;
  readonly frames: Frame[];
  seconds: number;
}

export class SecondLook {
  private readonly rig: Rig;
  private places: Float64Array | null = null;
  private earlier: Stretch | null = null;
  private now: Stretch | null = null;

  constructor(rig: Rig) {
    this.rig = rig;
  }

  /** The plant was started there. */
  start(places: Float64Array): void {
    this.places = places.slice();
    this.earlier = this.now = null;
  }

  /** Before the plant takes these commands. */
  note(plant: Plant, command: Float64Array, frame_s: number): void {
    if (!this.now || this.now.seconds >= BACK_S) {
      this.earlier = this.now;
      this.now = { from: plant.state(), frames: [], seconds: 0 };
    }
    this.now.frames.push({ command: command.slice(), frame_s });
    this.now.seconds += frame_s;
  }

  /** Whether something falls at the finer step too. */
  fallsAgain(): boolean {
    const { places, earlier, now, rig } = this;
    if (!places || !now) return false;
    const plant = new Plant(rig, { step_s: STEP_S / FINER, refresh_s: REFRESH_S / FINER });
    plant.start(places);
    plant.resume((earlier ?? now).from);
    const frames = [...(earlier?.frames ?? []), ...now.frames];
    for (const { command, frame_s } of frames) plant.frame(command, frame_s);
    const last = frames.at(-1);
    if (last) plant.frame(last.command, WAITS_S);
    return plant.fallen !== null;
  }
}
