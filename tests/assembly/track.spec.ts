/**
 * Joint tracking: unchanged inside the limits, the exact discrete trapezoid from rest, every bound held outside them.
 * Times: L. Biagiotti, C. Melchiorri, Trajectory Planning for Automatic Machines and Robots, Springer 2008, 3.2 (from memory);
 * the asymmetric form is ours, derived from it.
 */
import { JointImage, JointState } from '../../assembly/layout';
import { place, setLimits, track } from '../../assembly/track';

const STATE: usize = memory.data(i32(offsetof<JointState>()));
const LIMITS: usize = memory.data(i32(offsetof<JointImage>()));

function joint(): JointState {
  return changetype<JointState>(STATE);
}

/** 0: plus and minus stay. */
let plus_gone: f32 = 0,
  minus_gone: f32 = 0;

function ready(lo: f32, hi: f32, speed: f32, plus: f32, minus: f32, hz: f32, at: f32): void {
  const its = changetype<JointImage>(LIMITS);
  its.lo = lo;
  its.hi = hi;
  its.speed = speed;
  its.slow = speed;
  its.plus = plus;
  its.minus = minus;
  its.plus_gone = plus_gone;
  its.minus_gone = minus_gone;
  setLimits(joint(), its, hz);
  joint().speed = joint().fast;
  place(joint(), at);
}

/** Seconds of a step from rest to rest; -1 when it passes the target. */
function stepTime(from: f32, to: f32, speed: f32, plus: f32, minus: f32, hz: f32): f64 {
  ready(-10, 10, speed, plus, minus, hz, from);
  joint().target = to;
  for (let n = 1; n < 1000000; n++) {
    track(joint(), 0);
    if (to > from ? joint().pos > to : joint().pos < to) return -1;
    if (joint().pos == to) {
      track(joint(), 0);
      return joint().step == 0 ? f64(n) / f64(hz) : -1;
    }
  }
  return -1;
}

/** Analytic time over a distance: speeding up by a, braking by d, at most v. */
function analytic(L: f64, v: f64, a: f64, d: f64): f64 {
  const peak = sqrt((2 * L * a * d) / (a + d));
  return peak <= v ? peak * (1 / a + 1 / d) : L / v + v / (2 * a) + v / (2 * d);
}

let seed: u32 = 12345;
/** 0 to 1. */
function random(): f32 {
  seed = seed * 1664525 + 1013904223;
  return f32(seed >> 8) / f32(1 << 24);
}

let goal: f32 = 0,
  drift: f32 = 0;
/** What a stream that asks for anything asks next, between -0.5 and 0.9: steps, reversals, ramps and jitter. */
function wildGoal(hz: f32): f32 {
  const what = random();
  if (what < 0.01) goal = <f32>-0.5 + random() * <f32>1.4;
  else if (what < 0.02) drift = ((random() - <f32>0.5) * 8) / hz;
  else if (what < 0.03) goal = random() < 0.5 ? <f32>-0.5 : <f32>0.9;
  else if (what < 0.06) goal += (random() - <f32>0.5) * <f32>0.2;
  goal = max(<f32>-0.5, min(<f32>0.9, goal + drift));
  return goal;
}

describe('a step from rest', () => {
  it('takes the analytic time + 1 tick + 0.5 % at most, either way, at 50 to 1000 Hz', () => {
    const rates: f32[] = [50, 200, 333, 1000];
    let worst: f64 = -1;
    for (let r = 0; r < rates.length; r++) {
      for (let k = 0; k < 200; k++) {
        const L = <f32>0.02 + random() * 1.5,
          v = <f32>0.5 + random() * 5,
          a = <f32>5 + random() * 40,
          d = <f32>5 + random() * 40;
        const up = stepTime(-0.7, -0.7 + L, v, a, d, rates[r]);
        const down = stepTime(0.7, 0.7 - L, v, a, d, rates[r]);
        if (up < 0 || down < 0) worst = Infinity;
        const tick = 1 / f64(rates[r]);
        worst = max(worst, up - analytic(L, v, a, d) * 1.005 - tick);
        worst = max(worst, down - analytic(L, v, d, a) * 1.005 - tick);
      }
    }
    expect(worst).toBeLessThanOrEqual(1e-9);
  });
});

describe('a target inside the limits', () => {
  it('comes out unchanged: sines of up to 98 % of each limit, within 1e-3 deg', () => {
    const rates: f32[] = [50, 200, 1000];
    let worst: f64 = 0;
    for (let r = 0; r < rates.length; r++) {
      for (let k = 0; k < 60; k++) {
        const w = 0.5 + 8 * f64(random());
        const share = 0.98 * f64(random() < 0.5 ? 1 : random());
        // Whichever limit binds: speed, or acceleration.
        const amplitude = share * min(3.8 / w, min(26 / (w * w), 0.9));
        ready(-1, 1, 3.8, 26, 26, rates[r], 0);
        for (let n = 1; n < 4000; n++) {
          const t = f64(n) / f64(rates[r]);
          // Eased in over two seconds, so that it begins inside the limits as well.
          const ease = t < 2 ? t / 2 : 1;
          const x = f32(amplitude * ease * ease * ease * ease * NativeMath.sin(w * (t - 2)));
          joint().target = x;
          track(joint(), 0);
          if (t > 2.2) worst = max(worst, abs(f64(joint().pos) - f64(x)));
        }
      }
    }
    expect(worst * 57.29577951).toBeLessThan(1e-3);
  });

  it('a steadily moving target is caught up without overshoot', () => {
    let worst: f32 = 0;
    let left: f32 = 0;
    for (let k = 0; k < 200; k++) {
      const v = <f32>0.1 + random() * 2.5,
        ahead = random() * 0.5;
      ready(-10, 10, 3.8, <f32>10 + random() * 20, <f32>10 + random() * 20, 200, 0);
      let target: f32 = ahead;
      joint().target_before = ahead;
      for (let n = 0; n < 600; n++) {
        target += v / 200;
        joint().target = target;
        track(joint(), 0);
        worst = max(worst, joint().pos - target);
      }
      left = max(left, target - joint().pos);
    }
    expect(worst).toBeLessThan(1e-6);
    expect(left).toBeLessThan(1e-5);
  });
});

describe('any target', () => {
  it('keeps soft limits, speed, plus and minus over a million ticks of steps, reversals, ramps and jitter', () => {
    const rates: f32[] = [50, 100, 200, 500, 1000];
    let past: f64 = 0,
      speed: f64 = 0,
      plus: f64 = 0,
      minus: f64 = 0;
    for (let r = 0; r < rates.length; r++) {
      const hz = rates[r];
      ready(-0.5, 0.9, 3.8, 26, 38, hz, 0);
      const j = joint();
      goal = 0;
      drift = 0;
      for (let n = 0; n < 200000; n++) {
        j.target = wildGoal(hz);
        const before = f64(j.step);
        track(j, 0);
        const step = f64(j.step),
          rate = f64(hz);
        past = max(past, max(f64(j.pos) - 0.9, -0.5 - f64(j.pos)));
        speed = max(speed, (abs(step) * rate) / 3.8);
        plus = max(plus, ((step - before) * rate * rate) / 26);
        minus = max(minus, ((before - step) * rate * rate) / 38);
      }
    }
    expect(past * 57.29577951).toBeLessThan(1e-4);
    expect(speed).toBeLessThan(1.002);
    expect(plus).toBeLessThan(1.002);
    expect(minus).toBeLessThan(1.002);
  });
});

/** What is left of a limit at a speed, at least 0; `gone` 0: all of it. */
function left(limit: f64, speed: f64, gone: f64): f64 {
  return gone > 0 && speed > 0 ? limit * max(0, 1 - speed / gone) : limit;
}

/** s of a step that speeds up by a·(1 - v/gone) and brakes by d: v = gone·(1 - e^(-a·t/gone)) integrated, the instant of braking by bisection. */
function fadingTime(L: f64, a: f64, gone: f64, d: f64): f64 {
  let lo: f64 = 0,
    hi: f64 = 100;
  for (let n = 0; n < 80; n++) {
    const t = (lo + hi) / 2;
    const e = 1 - NativeMath.exp((-a * t) / gone);
    const v = gone * e;
    if (gone * (t - (gone / a) * e) + (v * v) / (2 * d) < L) lo = t;
    else hi = t;
  }
  return lo + (gone * (1 - NativeMath.exp((-a * lo) / gone))) / d;
}

describe('a limit that fades with speed', () => {
  it('lets a step take the time of its differential equation, 1.5 ticks and 0.5 % more at most, either way', () => {
    const rates: f32[] = [50, 200, 333, 1000];
    let worst: f64 = -1,
      soonest: f64 = 1;
    for (let r = 0; r < rates.length; r++) {
      for (let k = 0; k < 200; k++) {
        const L = <f32>0.1 + random() * <f32>1.4,
          a = <f32>5 + random() * 40,
          d = <f32>5 + random() * 40,
          gone = <f32>0.5 + random() * 5;
        plus_gone = gone;
        minus_gone = 0;
        const up = stepTime(-0.7, -0.7 + L, 20, a, d, rates[r]);
        plus_gone = 0;
        minus_gone = gone;
        const down = stepTime(0.7, 0.7 - L, 20, d, a, rates[r]);
        if (up < 0 || down < 0) worst = Infinity;
        const due = fadingTime(L, a, gone, d);
        const tick = 1 / f64(rates[r]);
        worst = max(worst, max(up, down) - due * 1.005 - 1.5 * tick);
        soonest = min(soonest, (min(up, down) - due) / tick);
      }
    }
    plus_gone = 0;
    minus_gone = 0;
    expect(worst).toBeLessThanOrEqual(0);
    expect(soonest).toBeGreaterThan(-1);
  });

  it('is kept at the end of every tick, and soft limits too, whatever is asked; braking has all of it', () => {
    const rates: f32[] = [50, 100, 200, 500, 1000];
    let past: f64 = 0,
      plus: f64 = 0,
      minus: f64 = 0,
      top: f64 = 0,
      braked: f64 = 0;
    plus_gone = 1.1;
    minus_gone = 2.5;
    for (let r = 0; r < rates.length; r++) {
      const hz = rates[r];
      ready(-0.5, 0.9, 3.8, 26, 38, hz, 0);
      const j = joint();
      goal = 0;
      drift = 0;
      for (let n = 0; n < 200000; n++) {
        j.target = wildGoal(hz);
        const before = f64(j.step);
        track(j, 0);
        const rate = f64(hz),
          v = f64(j.step) * rate,
          a = (v - before * rate) * rate;
        past = max(past, max(f64(j.pos) - 0.9, -0.5 - f64(j.pos)));
        plus = max(plus, a - left(26, v, 1.1));
        minus = max(minus, -a - left(38, -v, 2.5));
        top = max(top, max(v / 1.1, -v / 2.5));
        if (before < 0 && v < 0) braked = max(braked, a);
      }
    }
    plus_gone = 0;
    minus_gone = 0;
    expect(past * 57.29577951).toBeLessThan(1e-4);
    expect(plus).toBeLessThan(0.002 * 26);
    expect(minus).toBeLessThan(0.002 * 38);
    expect(top).toBeLessThan(1.0001);
    expect(braked).toBeGreaterThan(25.9);
  });

  it('a steadily moving target is caught up without overshoot, and one behind it waited for', () => {
    let worst: f64 = 0,
      left: f64 = 0;
    plus_gone = 2.4;
    minus_gone = 0;
    for (let k = 0; k < 200; k++) {
      const v = <f32>0.1 + random() * 2,
        ahead = random() < 0.5 ? random() * <f32>0.5 : -random() * <f32>0.5;
      ready(-20, 20, 3.8, <f32>10 + random() * 20, <f32>10 + random() * 20, 200, 0);
      let target: f32 = ahead;
      joint().target_before = ahead;
      for (let n = 0; n < 1000; n++) {
        target += v / 200;
        joint().target = target;
        track(joint(), 0);
        const off = f64(joint().pos - target);
        if (ahead > 0) worst = max(worst, off);
      }
      left = max(left, abs(f64(target - joint().pos)));
    }
    plus_gone = 0;
    expect(worst).toBeLessThan(1e-6);
    expect(left).toBeLessThan(1e-4);
  });
});
