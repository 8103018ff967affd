/* Whether a joint keeps within its image's limits, from tick to tick: for the board inside another program. */
#ifndef POSEWRIGHT_MOTION_H
#define POSEWRIGHT_MOTION_H

#include <stdint.h>

/** A joint over one tick. */
struct motion {
  /** Its record in the rig image in force. */
  const uint8_t* joint;
  /** Of its pulses; 0: it has none. */
  uint32_t width_us;
  /** Where it stood after the tick before, and after this one: rad or mm. */
  float before, now;
  /** Ticks a second. */
  float hz;
};

/** Looks at joint i after a tick. The promise that was broken, in words; NULL when none was. */
const char* motion_breaks(uint32_t i, const struct motion* motion);

/** Pulses have ended, or another rig is in force: what comes next is looked at anew. */
void motion_forget(void);

#endif
