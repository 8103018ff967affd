/* What a maker would write by hand: a crank platform's inverse kinematics in C, on the same image, with the same checks. */
#ifndef POSEWRIGHT_BENCH_BASELINE_H
#define POSEWRIGHT_BENCH_BASELINE_H

#include <stdbool.h>

/** assembly/layout.ts, LegImage. */
struct leg {
  float ex, ey, ez, dx, dy, dz, ux, uy, nx, ny, nz, reserved;
};

/** What of the rig image counts here; the limits of each leg's joint beside it. */
struct platform {
  float crank, rod, rod_end_sin;
  float mount[9];
  struct leg leg[6];
  float lo[6], hi[6];
};

/** Crank angles in rad of a pose (mm, rad); false: out of reach, or beyond a soft limit or a rod end. */
bool solve_textbook(const struct platform* platform, const float* pose, float* out);
/** The same by half angles, with the controller's own polynomials. */
bool solve_kernels(const struct platform* platform, const float* pose, float* out);

#endif
