/** The verdict on a take: its trace, its gaps, the four questions. Kept up to date from one edit to the next. */
import type { Rig } from '../../../rig/rig.ts';
import { answersOf } from '../../../why/answers.ts';
import type { Take } from '../../take/take.ts';
import { Carried } from './carried.ts';
import { gapsOf } from './gaps.ts';
import { Judge } from './judge.ts';
import type { TakeTrace, Verdict } from './protocol.ts';
import { replayedAnswer } from './replayed.ts';
import { rowsOfTake } from './rows.ts';
import type { Trace } from './trace.ts';

export class Verdicts {
  readonly judge: Judge;
  private readonly rig: Rig;
  private readonly carried: Carried;

  /** @param wasm the bytes of controller.wasm */
  constructor(rig: Rig, wasm: Uint8Array<ArrayBuffer>) {
    this.rig = rig;
    this.judge = new Judge(rig, wasm);
    this.carried = new Carried(rig);
  }

  /** @param pause as Judge has it. Null: given up; a string: why there is none. */
  async of(take: Take, pause: () => Promise<boolean>): Promise<Verdict | string | null> {
    const { rig } = this;
    const rows = await rowsOfTake(take, rig);
    if (typeof rows === 'string') return rows;
    const judged = await this.judge.judge(rows, pause);
    const carried = judged && (await this.carried.answer(rows, take.name, pause));
    if (!judged || !carried || !(await pause())) return null;
    const answer = replayedAnswer(rig, judged, take.name);
    const answers = answersOf({ rig, joints: [], load: carried, replay: { answer } });
    return {
      trace: shownTrace(rig, judged.trace),
      gaps: gapsOf(rig, judged.trace),
      answers,
      joints: 'refused' in carried ? [] : carried.joints,
      anew: judged.anew.to - judged.anew.from,
    };
  }
}

/** What the page draws of a trace. */
export function shownTrace(rig: Rig, { count, joints, t_s, pose, joint }: Trace): TakeTrace {
  const legs = rig.platform ? 6 : 0;
  const rows = 6 + joints - legs;
  const asked = new Float32Array(rows * count);
  const delivered = new Float32Array(rows * count);
  const metal = new Float32Array(rows * count);
  for (let f = 0; f < count; f++) {
    for (let k = 0; k < 6; k++) {
      asked[f * rows + k] = pose.asked[6 * f + k]!;
      delivered[f * rows + k] = pose.delivered[6 * f + k]!;
      metal[f * rows + k] = pose.metalPose[6 * f + k]!;
    }
    for (let i = legs; i < joints; i++) {
      const at = f * rows + 6 + i - legs;
      asked[at] = joint.askedJoints[f * joints + i]!;
      delivered[at] = joint.position[f * joints + i]!;
      metal[at] = joint.metal[f * joints + i]!;
    }
  }
  // The share of torque comes a frame later.
  const use = joint.use.slice();
  use.copyWithin(0, joints);
  return { count, joints, t_s: t_s.slice(), rows, asked, delivered, metal, use };
}
