/** What a gear of another ratio passes on of a torque. */
import type { Joint } from './rig.ts';

/** Of a gear's stage where there was none (common practice). */
export const STAGE_EFFICIENCY = 0.9;

/** Of a joint behind a gear of this ratio, as a share: its own; a stage's where it has no gear and loses nothing. */
export const stageEfficiency = (joint: Pick<Joint, 'gear_ratio' | 'gear_efficiency'>, ratio: number): number =>
  joint.gear_ratio === 1 && joint.gear_efficiency === 1 && ratio !== 1 ? STAGE_EFFICIENCY : joint.gear_efficiency;
