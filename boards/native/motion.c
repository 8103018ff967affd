/* See motion.h. */
#include "motion.h"

#include <stddef.h>
#include <string.h>

#include "layout.h"

/** Shares of a limit that rounding to f32 may add, as the controller's own tests have it. */
#define ROUNDING 1.002f

/** A joint's record in the image begins with these. */
struct limits {
  float lo, hi, speed, plus, minus, slow;
};
_Static_assert(JOINT_LO == offsetof(struct limits, lo) && JOINT_SLOW == offsetof(struct limits, slow), "limits in the image");

static float step_before[JOINTS];
/** Ticks with pulses, one after another. */
static uint32_t steady[JOINTS];

/** It moves within its limits. grain: what an f32 of its size cannot tell apart. */
static const char* step_breaks(uint32_t i, const struct motion* motion, const struct limits* limits, float grain) {
  const float hz = motion->hz;
  const float step = motion->now - motion->before;
  if (steady[i] >= 1 && !(__builtin_fabsf(step) * hz <= limits->speed * ROUNDING + grain * hz)) return "joints keep their speed";
  if (steady[i] >= 2) {
    const float change = (step - step_before[i]) * hz * hz;
    const float rounding = 2 * grain * hz * hz;
    if (!(change <= limits->plus * ROUNDING + rounding && -change <= limits->minus * ROUNDING + rounding))
      return "joints keep their acceleration";
  }
  step_before[i] = step;
  steady[i]++;
  return NULL;
}

const char* motion_breaks(uint32_t i, const struct motion* motion) {
  struct limits limits;
  float range_us[2];
  memcpy(&limits, motion->joint, sizeof limits);
  memcpy(range_us, motion->joint + JOINT_MIN_US, sizeof range_us);
  const float width_us = (float)motion->width_us;
  if (motion->width_us == 0) {
    steady[i] = 0;
    return NULL;
  }
  if (width_us < range_us[0] - 0.5f || width_us > range_us[1] + 0.5f) return "pulses stay within the servo's range";
  const float grain = 8 * 1.2e-7f * __builtin_fmaxf(__builtin_fabsf(limits.lo), __builtin_fabsf(limits.hi));
  if (!(motion->now >= limits.lo - grain && motion->now <= limits.hi + grain)) return "joints stay within their soft limits";
  return step_breaks(i, motion, &limits, grain);
}

void motion_forget(void) { memset(steady, 0, sizeof steady); }
