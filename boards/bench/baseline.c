/*
 * Two hand-written solvers. The textbook's: a.sin + b.cos = c, by asin and atan2, with the C library's f32 functions (e.g.
 * Merlet, Parallel Robots, 2nd ed., 2006, for the loop equation). The other: half angles and the polynomials of
 * assembly/kernels.ts, operation by operation, so that the difference is what compiling through WebAssembly costs.
 */
#include "baseline.h"

#include <math.h>

struct motion {
  float m[9], t[3];
};

/** M = mountT . Rz.Ry.Rx and t = mountT . (x, y, z), from the sines and cosines of roll, pitch, yaw. */
static inline struct motion motion_of(const struct platform* p, const float* pose, float sr, float cr, float sp, float cp,
                                      float sy, float cy) {
  const float syp = sy * sp, cyp = cy * sp;
  const float r[9] = {cy * cp, cyp * sr - sy * cr, cyp * cr + sy * sr, sy * cp, syp * sr + cy * cr, syp * cr - cy * sr,
                      -sp,     cp * sr,            cp * cr};
  struct motion q;
  for (int i = 0; i < 3; i++) {
    const float* a = p->mount + 3 * i;
    for (int j = 0; j < 3; j++) q.m[3 * i + j] = a[0] * r[j] + a[1] * r[3 + j] + a[2] * r[6 + j];
    q.t[i] = a[0] * pose[0] + a[1] * pose[1] + a[2] * pose[2];
  }
  return q;
}

bool solve_textbook(const struct platform* p, const float* pose, float* out) {
  const struct motion q =
      motion_of(p, pose, sinf(pose[3]), cosf(pose[3]), sinf(pose[4]), cosf(pose[4]), sinf(pose[5]), cosf(pose[5]));
  const float excess = p->rod * p->rod - p->crank * p->crank;
  const float rod_end = p->rod * p->rod_end_sin;
  const float twice = 2.0f * p->crank;
  for (int i = 0; i < 6; i++) {
    const struct leg* l = &p->leg[i];
    const float x = q.m[0] * l->dx + q.m[1] * l->dy + q.m[2] * l->dz + q.t[0] + l->ex;
    const float y = q.m[3] * l->dx + q.m[4] * l->dy + q.m[5] * l->dz + q.t[1] + l->ey;
    const float z = q.m[6] * l->dx + q.m[7] * l->dy + q.m[8] * l->dz + q.t[2] + l->ez;
    const float c = x * x + y * y + z * z - excess;
    const float a = twice * z, b = twice * (x * l->ux + y * l->uy);
    const float s = c / sqrtf(a * a + b * b);
    if (!(s >= -1.0f && s <= 1.0f && z > 0.0f)) return false;
    const float angle = asinf(s) - atan2f(b, a);
    if (rod_end > 0.0f) {
      if (!(fabsf(y * l->ux - x * l->uy) <= rod_end)) return false;
      const float reach = p->crank * cosf(angle);
      const float qx = x - reach * l->ux, qy = y - reach * l->uy, qz = z - p->crank * sinf(angle);
      const float along = qx * (q.m[0] * l->nx + q.m[1] * l->ny + q.m[2] * l->nz) +
                          qy * (q.m[3] * l->nx + q.m[4] * l->ny + q.m[5] * l->nz) +
                          qz * (q.m[6] * l->nx + q.m[7] * l->ny + q.m[8] * l->nz);
      if (!(fabsf(along) <= rod_end)) return false;
    }
    if (!(angle >= p->lo[i] && angle <= p->hi[i])) return false;
    out[i] = angle;
  }
  return true;
}

static void sincos_kernel(float x, float* sin_out, float* cos_out) {
  const float n = x * 0.63661975f + 12582912.0f - 12582912.0f;
  const float r = x - n * 1.5703125f - n * 0.00048382679f;
  const float z = r * r;
  const float s = r + r * z * (-0.16666655f + z * (0.00833216f + z * -0.00019515217f));
  const float c = 1.0f - 0.5f * z + z * z * (0.041666646f + z * (-0.0013887367f + z * 2.443838e-5f));
  const int quarter = (int)n & 3;
  const float sin = quarter & 1 ? c : s, cos = quarter & 1 ? s : c;
  *sin_out = quarter & 2 ? -sin : sin;
  *cos_out = (quarter + 1) & 2 ? -cos : cos;
}

static float atan_unit(float x) {
  const float z = x * x;
  return x + x * (z * (-0.3333166f +
                       z * (0.19962704f +
                            z * (-0.13976581f +
                                 z * (0.09794233f + z * (-0.05777356f + z * (0.023040114f + z * -0.0043553994f)))))));
}

static float angle_of(float num, float den) {
  const float n = fabsf(num), d = fabsf(den);
  float a = n > d ? 1.5707964f - atan_unit(d / n) : d > 0.0f ? atan_unit(n / d) : 0.0f;
  if (den < 0.0f) a = 3.1415927f - a;
  return num < 0.0f ? -a : a;
}

bool solve_kernels(const struct platform* p, const float* pose, float* out) {
  float sr, cr, sp, cp, sy, cy;
  sincos_kernel(pose[3], &sr, &cr);
  sincos_kernel(pose[4], &sp, &cp);
  sincos_kernel(pose[5], &sy, &cy);
  const struct motion q = motion_of(p, pose, sr, cr, sp, cp, sy, cy);
  const float h = 0.5f / p->crank;
  const float h0 = sqrtf((p->rod - p->crank) * (p->rod + p->crank));
  const float rod_end = p->rod * p->rod_end_sin;
  for (int i = 0; i < 6; i++) {
    const struct leg* l = &p->leg[i];
    const float x = q.m[0] * l->dx + q.m[1] * l->dy + q.m[2] * l->dz + (q.t[0] + l->ex);
    const float y = q.m[3] * l->dx + q.m[4] * l->dy + q.m[5] * l->dz + (q.t[1] + l->ey);
    const float z = q.m[6] * l->dx + q.m[7] * l->dy + q.m[8] * l->dz + (q.t[2] + l->ez);
    const float L = (x * x + y * y + (z - h0) * (z + h0)) * h;
    const float N = x * l->ux + y * l->uy;
    const float D = N * N + (z - L) * (z + L);
    if (!(D >= 0.0f && z > 0.0f)) return false;
    const float num = L - N, den = z + sqrtf(D);
    const float half = angle_of(num, den);
    const float angle = half + half;
    if (rod_end > 0.0f) {
      if (!(fabsf(y * l->ux - x * l->uy) <= rod_end)) return false;
      const float scale = p->crank / (den * den + num * num);
      const float reach = (den - num) * (den + num) * scale;
      const float qx = x - reach * l->ux, qy = y - reach * l->uy, qz = z - (num + num) * den * scale;
      const float along = qx * (q.m[0] * l->nx + q.m[1] * l->ny + q.m[2] * l->nz) +
                          qy * (q.m[3] * l->nx + q.m[4] * l->ny + q.m[5] * l->nz) +
                          qz * (q.m[6] * l->nx + q.m[7] * l->ny + q.m[8] * l->nz);
      if (!(fabsf(along) <= rod_end)) return false;
    }
    if (!(angle >= p->lo[i] && angle <= p->hi[i])) return false;
    out[i] = angle;
  }
  return true;
}
