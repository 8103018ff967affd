/** The prop swings at its own frequency after a move, or is not held up at all. */
import type { Mode } from '../../physics/vibration/modes.ts';
import { movesWords } from '../../load/words.ts';
import { toShown } from '../../rig/rig.ts';
import { meanDelay_s, shaperOf } from '../../rig/shaper.ts';
import { type Facts, type JointFacts, loadOf, swingOf } from '../facts.ts';
import type { Look, Suspect } from './cause.ts';

/** Below so many Hz a shake is seen as a wobble rather than felt as a buzz (ours). */
const SEEN_HZ = 12;

export const modeExcited: Look = (facts) => {
  const modes = loadOf(facts)?.modes ?? [];
  const lowest = swingOf(facts);
  if (!lowest) return null;
  const unstable = modes.find((mode) => mode.unstable);
  return unstable ? notHeld(unstable) : swings(facts, lowest, lowest.hz ?? 0);
};

const notHeld = (mode: Mode): Suspect => ({
  cause: 'mode_excited',
  title: 'the servos are too soft to hold it up',
  weight: 0.9,
  because: `its servos are not stiff enough to hold it against gravity (${movesWords(mode.mostly)})`,
  test: 'at rest, push it a little with a finger: it must spring back by itself',
  cure: 'stiffer servos, less weight, or a counterweight; a wobble cure cannot help here',
  cost: 'a part, and the time to fit it',
  trial: null,
});

/** The joint that shows it is the one that moves most, of those that the shape names if it names one. */
function shownBy({ mostly, shape }: Mode, joints: readonly JointFacts[]): string {
  const named = joints.find(({ joint }) => mostly.includes(joint.name))?.joint;
  const size = (i: number): number => Math.abs(toShown(joints[i]!.joint, shape[i]!));
  const most = joints.reduce((best, _, i) => (size(i) > size(best) ? i : best), 0);
  return (named ?? joints[most]!.joint).name;
}

function swings({ joints, rig }: Facts, mode: Mode, hz: number): Suspect {
  const cured = rig.motion.wobble.cure !== 'none';
  const partly = joints.some(({ isPartlyWeighed }) => isPartlyWeighed);
  const set = cured ? '; a wobble cure is set already' : '';
  return {
    cause: 'mode_excited',
    title: 'the prop swings at its natural frequency',
    weight: cured ? 0.2 : hz < SEEN_HZ || partly ? 0.75 : 0.45,
    because: `by the stiffness of its servos it swings at ${hz.toFixed(1)} Hz (${movesWords(mode.mostly)}); the frame and rods bend too${partly ? ', and weights are missing in the file' : ''}, so the real figure is lower${set}`,
    test: 'film a quick look in slow motion and count the swings after it stops: if their rate is the same however fast the look, this is the cause',
    cure: 'motion.wobble: { cure: tolerant, hz, damping } with the figures you measured ("posewright tune --swings" or "--shake"; "--computed" for a first try)',
    cost: `${(1000 * meanDelay_s(shaperOf('tolerant', hz, 0))).toFixed(0)} ms more delay at ${hz.toFixed(1)} Hz for the tolerant cure, half of it for the exact one`,
    trial: cured ? null : { remedy: 'wobble', joint: shownBy(mode, joints) },
  };
}
