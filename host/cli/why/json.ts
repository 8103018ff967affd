/** What `why` found as the JSON document of the command: every key with its unit. */
import type { Trial, Why } from '../../why/result.ts';
import { withUnit } from '../keys.ts';

const trialJson = (trial: Trial | null): Record<string, unknown> | null =>
  trial && {
    saturated_ms: trial.saturated_ms,
    falls_at_s: trial.falls_at_s,
    ...withUnit(trial.unit, {
      peak_error: ['position', trial.tracking_error],
      wobble: ['position', trial.wobble],
    }),
  };

export const whyJson = (why: Why): Record<string, unknown> => ({
  ...why,
  causes: why.causes.map((cause) => ({ ...cause, before: trialJson(cause.before), after: trialJson(cause.after) })),
});
