/** Errors of the controller's f32 functions against the standard library's f64 ones, over their domains. */
import { angleOf, atanUnit, clamp, finite, nearest, sincos } from '../../assembly/kernels';

const OUT: usize = memory.data(8);

function worstSinCos(from: f64, to: f64): f64 {
  let worst: f64 = 0;
  for (let i = 0; i <= 400000; i++) {
    const x = f32(from + ((to - from) * f64(i)) / 400000);
    sincos(x, OUT);
    worst = max(worst, abs(f64(load<f32>(OUT)) - NativeMath.sin(f64(x))));
    worst = max(worst, abs(f64(load<f32>(OUT, 4)) - NativeMath.cos(f64(x))));
  }
  return worst;
}

describe('kernels', () => {
  it('sine and cosine err by at most 1.2e-7 within two turns', () => {
    expect(worstSinCos(-6.3, 6.3)).toBeLessThan(1.2e-7);
  });

  it('sine and cosine err by at most 4e-7 within 32 rad', () => {
    expect(worstSinCos(-32, 32)).toBeLessThan(4e-7);
  });

  it('the arctangent errs by at most 1.2e-7 rad', () => {
    let worst: f64 = 0;
    for (let i = -200000; i <= 200000; i++) {
      const x = f32(f64(i) / 200000);
      worst = max(worst, abs(f64(atanUnit(x)) - NativeMath.atan(f64(x))));
    }
    expect(worst).toBeLessThan(1.2e-7);
  });

  it('the angle errs by at most 4e-7 rad in both half planes it serves', () => {
    let worst: f64 = 0;
    for (let i = 0; i <= 200000; i++) {
      const a = (NativeMath.PI * f64(i)) / 200000;
      const num = f32(100 * NativeMath.sin(a));
      const den = f32(100 * NativeMath.cos(a));
      worst = max(worst, abs(f64(angleOf(num, den)) - NativeMath.atan2(f64(num), f64(den))));
      if (den >= 0) worst = max(worst, abs(f64(angleOf(-num, den)) - NativeMath.atan2(-f64(num), f64(den))));
    }
    expect(worst).toBeLessThan(4e-7);
  });

  it('a clamp lets no NaN through', () => {
    expect(clamp(NaN, -1, 1)).toBe(-1);
    expect(clamp(Infinity, -1, 1)).toBe(1);
    expect(clamp(-Infinity, -1, 1)).toBe(-1);
    expect(clamp(0.5, -1, 1)).toBe(0.5);
  });

  it('finite tells NaN and infinities', () => {
    expect(finite(NaN)).toBe(false);
    expect(finite(Infinity)).toBe(false);
    expect(finite(-Infinity)).toBe(false);
    expect(finite(3.4e38)).toBe(true);
  });

  it('nearest rounds ties to even', () => {
    expect(nearest(2.5)).toBe(2);
    expect(nearest(3.5)).toBe(4);
    expect(nearest(-1.4)).toBe(-1);
  });
});
