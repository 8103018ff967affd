/** What is so, in one sentence: who leads, what stops it, what it lacks, and what to do about it. */
import { causeWords } from '../../../replay/verdict.ts';
import type { Rig } from '../../../rig/rig.ts';
import type { Look } from '../engine/protocol.ts';

/** By what tripped it (controller/messages.ts). */
const CURES: Readonly<Record<string, string>> = {
  link: 'the page fell silent: rouse it to go on',
  'low supply': 'the supply’s voltage is low: charge it or take a stronger one, then rouse it',
  'late ticks': 'the controller’s computer was too busy: close what else runs, then rouse it',
  'a response failed': 'its responses.ts failed and is off: clear it, then rouse it',
  watchdog: 'the controller’s program stood still: switch it off and on, then rouse it',
};

const FOLLOWS = {
  hand: 'following your hand',
  take: 'following the take',
  nothing: 'holding where it is',
} as const;

function stateWords({ state, trip, follows }: Look): string {
  switch (state) {
    case 'limp':
      return 'limp: nothing moves it; G rouses it';
    case 'rousing':
      return 'rousing: it goes slowly to where it is asked';
    case 'settling':
      return 'settling to its rest';
    case 'tripped':
      return `stopped by its guard (${trip ?? 'unknown reason'}): ${CURES[trip ?? ''] ?? 'rouse it to go on'}`;
    case 'holding':
      return 'holding where it is';
    default:
      return FOLLOWS[follows];
  }
}

/** Shares change with every tick; told in steps they do not chatter. */
const STEP_PERCENT = 25;

function shortWords(rig: Rig, use: ArrayLike<number>): string[] {
  const most = rig.joints.reduce((best, _, i) => (use[i]! > (use[best] ?? -1) ? i : best), 0);
  const share = use[most]!;
  if (!(share > 1)) return [];
  const { name } = rig.joints[most]!;
  if (share === Infinity) return [`${name} is asked to go faster than its servo can`];
  const percent = Math.floor((share * 100) / STEP_PERCENT) * STEP_PERCENT;
  const much = percent > 100 ? `at least ${percent} % of what it has` : 'more than it has';
  return [`${name} is short of torque: it needs ${much}`];
}

/** @param use by joint, the greatest of the last moments */
export function sentence(rig: Rig, seen: Look, use: ArrayLike<number>): string {
  const stop = seen.stoppedBy;
  const isLive = seen.state === 'live' || seen.state === 'rousing';
  return [
    seen.fallen ?? stateWords(seen),
    ...(stop && isLive ? [`out of reach: ${stop.joint}: ${causeWords(stop.cause)}`] : []),
    ...(isLive ? shortWords(rig, use) : []),
  ].join('; ');
}
