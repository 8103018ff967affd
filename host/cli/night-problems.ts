/** What a rig's night asks for and its prop cannot do, at the key's line: for `check`, and for whoever packs a night. */
import type { Rig } from '../rig/rig.ts';
import type { CueFault } from '../shows/cue-faults.ts';
import { idleFaults, idleReach } from '../shows/idle.ts';
import { type Problem, problemOf } from './output.ts';
import type { RigInput } from './rig-input.ts';
import { shownName } from './stdin.ts';

type Places = Pick<RigInput, 'lineOf'>;

export function inRig({ lineOf }: Places, rigPath: string, { path, message, severity }: CueFault): Problem {
  const words = path.map((step) => (typeof step === 'number' ? String(step + 1) : step)).join('.');
  return { ...problemOf(shownName(rigPath), message), path: words, line: lineOf(path), severity };
}

/** Idle life that goes beyond the prop's reach: it is cut. */
export const idleProblems = (rig: Rig, places: Places, rigPath: string): Problem[] =>
  idleFaults(rig, rig.night?.idle ? idleReach(rig, rig.night.idle) : null).map((fault) =>
    inRig(places, rigPath, fault),
  );
