/**
 * Every kind of breach is found, each at its own limit: a telemetry in which all is within limits, and then one figure beyond its
 * limit by twice what rounding may add. Tilts of rod ends are computed here, from where the joints' centres stand.
 */
import { uniformFloat32 } from 'pure-rand/distribution/uniformFloat32';
import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus';
import { describe, expect, it } from 'vitest';
import { type Telemetry, emptyTelemetry } from '../../../host/controller/messages.ts';
import { Breaches } from '../../../host/replay/breaches.ts';
import { legCoordinate } from '../../../host/rig/legs.ts';
import { type Joint, type Platform, type Pose, type Rig, toDeg, toRad } from '../../../host/rig/rig.ts';
import { Prop } from '../../assembly/prop.ts';
import { type RigOptions, crankPlatform, linearPlatform, rigOf } from '../../assembly/rigs.ts';

const HZ = 200;
const SEED = 8;
const rig = rigOf();
const NOD = 6;
const nod = rig.joints[NOD]!;

/** What joint `NOD` does at most without a breach, per second; figures of `change` in its place. */
interface Deed {
  lowest: number;
  highest: number;
  rise: number;
  fall: number;
  plus: number;
  minus: number;
  pulse_us: number;
}

const still = (joint: Joint): Deed => ({
  lowest: joint.lo,
  highest: joint.hi,
  rise: 0,
  fall: 0,
  plus: 0,
  minus: 0,
  pulse_us: 1500,
});

function telemetryOf(i: number, deed: Deed): Telemetry {
  const t = emptyTelemetry();
  t.joints = rig.joints.length;
  t.lowest[i] = deed.lowest;
  t.highest[i] = deed.highest;
  t.rise[i] = deed.rise / HZ;
  t.fall[i] = deed.fall / HZ;
  t.plus[i] = deed.plus / HZ ** 2;
  t.minus[i] = deed.minus / HZ ** 2;
  t.pulse_us[i] = deed.pulse_us;
  return t;
}

/** What is found when joint i of a rig does that. */
function found(change: Partial<Deed>, its: Rig = rig, i = NOD): Breaches {
  const breaches = new Breaches(its);
  breaches.joint(i, 1.5, telemetryOf(i, { ...still(its.joints[i]!), ...change }), HZ);
  return breaches;
}
const kinds = (breaches: Breaches): string[] => breaches.list.map(({ where, what }) => `${where} ${what}`);

describe('a joint', () => {
  it('at all of its limits is within them', () => {
    const { speed, plus, minus } = nod;
    expect(found({ rise: speed, fall: -speed, plus, minus: -minus, pulse_us: 600 }).list).toEqual([]);
    expect(found({ pulse_us: 2400 }).count).toBe(0);
  });

  // Rounding may add 1e-4 deg to a place, and 0.2 % to a rate.
  const place = toRad(2e-4);
  const rate = 1.004;
  it.each<[string, Partial<Deed>, string, string]>([
    [
      'below its soft limit',
      { lowest: nod.lo - place },
      'soft_limit',
      'nod is at -30.000 deg, its soft limits are -30.000 to 25.000 deg',
    ],
    [
      'above it',
      { highest: nod.hi + place },
      'soft_limit',
      'nod is at 25.000 deg, its soft limits are -30.000 to 25.000 deg',
    ],
    ['faster upward', { rise: nod.speed * rate }, 'speed', 'nod moves at 70.280 deg/s, its limit is 70.000 deg/s'],
    ['faster downward', { fall: -nod.speed * rate }, 'speed', 'nod moves at -70.280 deg/s, its limit is 70.000 deg/s'],
    [
      'accelerated upward',
      { plus: nod.plus * rate },
      'plus',
      'nod accelerates by +1506.000 deg/s², its limit is 1500.000 deg/s²',
    ],
    [
      'accelerated downward',
      { minus: -nod.minus * rate },
      'minus',
      'nod accelerates by -1506.000 deg/s², its limit is 1500.000 deg/s²',
    ],
    ['with too short a pulse', { pulse_us: 599 }, 'pulse', 'nod has a pulse of 599 µs, its range is 600 to 2400 µs'],
    ['with too long a pulse', { pulse_us: 2401 }, 'pulse', 'nod has a pulse of 2401 µs, its range is 600 to 2400 µs'],
  ])('%s: found, with what it did', (_, change, what, message) => {
    const { list, count } = found(change);
    expect(list).toEqual([{ at_s: 1.5, where: 'nod', what, message }]);
    expect(count).toBe(1);
  });

  it.each<[keyof Deed, string]>([
    ['lowest', 'soft_limit'],
    ['highest', 'soft_limit'],
    ['rise', 'speed'],
    ['fall', 'speed'],
    ['plus', 'plus'],
    ['minus', 'minus'],
  ])('that is nowhere (%s is NaN) is no joint within its limits', (figure, what) => {
    expect(kinds(found({ [figure]: NaN }))).toContain(`nod ${what}`);
  });

  it('is judged by plus upward and by minus downward, where they differ', () => {
    const uneven = (plus: number, minus: number): Rig => ({
      ...rig,
      joints: rig.joints.with(NOD, { ...nod, plus, minus }),
    });
    expect(kinds(found({ plus: 9, minus: -9 }, uneven(10, 5)))).toEqual(['nod minus']);
    expect(kinds(found({ plus: 9, minus: -9 }, uneven(5, 10)))).toEqual(['nod plus']);
  });

  it('that is an actuator is judged in mm', () => {
    const linear = rigOf({ platform: linearPlatform() });
    expect(found({}, linear, 2).list).toEqual([]);
    expect(kinds(found({ highest: 158.0002 }, linear, 2))).toEqual(['leg3 soft_limit']);
    expect(found({ rise: 90.4 }, linear, 2).list[0]!.message).toBe(
      'leg3 moves at 90.400 mm/s, its limit is 90.000 mm/s',
    );
  });
});

describe('a limit that fades with speed', () => {
  // Half of plus is left at 1 rad/s upward, a quarter of minus at 3 rad/s downward.
  const fading = { ...nod, speed: 4, plus: 20, minus: 30, plus_gone: 2, minus_gone: 4 };
  const its: Rig = { ...rig, joints: rig.joints.with(NOD, fading) };
  const kindsOf = (deed: Partial<Deed>): string[] => kinds(found(deed, its));

  it('is all there at rest, and where it brakes', () => {
    expect(kindsOf({ plus: 20, minus: -30 })).toEqual([]);
    expect(kindsOf({ rise: -1, fall: -3, plus: 20 })).toEqual([]);
    expect(kindsOf({ rise: 1, fall: 1, minus: -30 })).toEqual([]);
  });

  it('is broken upward by what would be within it at rest', () => {
    expect(kindsOf({ rise: 1, fall: 1, plus: 10 })).toEqual([]);
    expect(kindsOf({ rise: 1, fall: 1, plus: 10.1 })).toEqual(['nod plus']);
    expect(found({ rise: 1, fall: 1, plus: 15 }, its).list[0]!.message).toBe(
      `nod accelerates by +${toDeg(15).toFixed(3)} deg/s², its limit is ${toDeg(10).toFixed(3)} deg/s²`,
    );
  });

  it('is broken downward likewise', () => {
    expect(kindsOf({ rise: -3, fall: -3, minus: -7.5 })).toEqual([]);
    expect(kindsOf({ rise: -3, fall: -3, minus: -7.6 })).toEqual(['nod minus']);
  });

  it.each<[string, RigOptions]>([
    ['as it is', {}],
    ['with a wobble cure', { wobble: { cure: 'tolerant', hz: 3.1, damping: 0 } }],
  ])('is kept by the controller, %s, whatever is asked: nothing is found', (_, options) => {
    const kept = rigOf({ platform: null, ...options });
    const gone = { plus_gone: toRad(100), minus_gone: toRad(80) };
    const prop = new Prop({ ...kept, joints: kept.joints.map((joint) => ({ ...joint, ...gone })) });
    const breaches = new Breaches(prop.rig);
    prop.rouse();
    prop.tell(prop.send.report(4));
    let [most, faded] = [0, 0];
    prop.watch = (t) => {
      for (const i of [0, 1]) breaches.joint(i, 0, t, prop.hz);
      most = Math.max(most, t.plus[0]! * prop.hz ** 2);
      if (t.fall[0]! * prop.hz > toRad(40)) faded = Math.max(faded, t.plus[0]! * prop.hz ** 2);
    };
    const random = xoroshiro128plus(SEED);
    const values = [0, 0, 0, 0, 0, 0, 0, 0];
    for (let n = 0; n < 20_000; n++) {
      if (uniformFloat32(random) < 0.1) for (const k of [6, 7]) values[k] = uniformFloat32(random) - 0.3;
      if (n % 4 === 0) prop.pose(20_000, values);
      prop.run(1);
    }
    expect(breaches.list, `seed ${String(SEED)}`).toEqual([]);
    expect(most).toBeGreaterThan(options.wobble ? 0.2 * nod.plus : 0.9 * nod.plus);
    // It does speed up where its limit has faded, or the rest says nothing.
    expect(faded).toBeGreaterThan(0.1 * nod.plus);
  });

  it('is only found broken where no tick since the last telemetry was slow enough for that', () => {
    expect(kindsOf({ rise: 1, fall: 0.5, plus: 15 })).toEqual([]);
    expect(kindsOf({ rise: 1, fall: 0.5, plus: 15.1 })).toEqual(['nod plus']);
  });
});

describe('rod ends', () => {
  const unit = (v: readonly number[]): number[] => v.map((x) => x / Math.hypot(...v));
  const about = (yaw: number, [x = 0, y = 0, z = 0]: readonly number[]): number[] => [
    x * Math.cos(yaw) - y * Math.sin(yaw),
    x * Math.sin(yaw) + y * Math.cos(yaw),
    z,
  ];

  /** The twelve misalignments of a standing platform turned by yaw, crank's end first, rad: asin|rod·stud|. */
  function tiltsOf(platform: Platform, yaw: number, cranks: Float64Array): number[] {
    return platform.legs.flatMap(({ base_mm, moving_mm, azimuth_rad }, i) => {
      const [cos, sin] = [Math.cos(azimuth_rad), Math.sin(azimuth_rad)];
      const out = platform.crank_mm * Math.cos(cranks[i]!);
      const tip = [
        base_mm[0] + out * cos,
        base_mm[1] + out * sin,
        base_mm[2] + platform.crank_mm * Math.sin(cranks[i]!),
      ];
      const plate = about(yaw, moving_mm).map((x, k) => x + (k === 2 ? platform.home_z_mm : 0));
      const rod = unit(plate.map((x, k) => x - tip[k]!));
      const stud = [-sin, cos, 0];
      return [stud, about(yaw, stud)].map((n) => Math.abs(Math.asin(n.reduce((sum, x, k) => sum + x * rod[k]!, 0))));
    });
  }

  const yaw = 0.2;
  const pose: Pose = [0, 0, 0, 0, 0, yaw];
  const platform = crankPlatform({ upright: true });
  const cranks = Float64Array.from({ length: 6 }, (_, i) => legCoordinate(platform, i, pose)!);
  const tilts = tiltsOf(platform, yaw, cranks);
  const foundAt = (rod_end_rad: number | null, delivered = cranks): Breaches => {
    const breaches = new Breaches(rigOf({ platform: { ...platform, rod_end_rad } }));
    breaches.rodEnds(2, pose, delivered);
    return breaches;
  };

  it('tilt differently at both ends of a rod and from leg to leg, or the next test says nothing', () => {
    const degrees = tilts.map((tilt) => toDeg(tilt).toFixed(1));
    expect(new Set(degrees).size).toBe(4);
  });

  it('beyond their limit are found, each by itself', () => {
    // Rounding may add 0.05 deg.
    for (const limit of tilts) {
      expect(foundAt(limit - toRad(0.06)).count).toBe(tilts.filter((tilt) => tilt > limit - toRad(0.01)).length);
      expect(foundAt(limit - toRad(0.04)).count).toBe(tilts.filter((tilt) => tilt > limit + toRad(0.01)).length);
      const legs = tilts.flatMap((tilt, k) => (tilt > limit - toRad(0.01) ? [`leg${String((k >> 1) + 1)}`] : []));
      expect(foundAt(limit - toRad(0.06)).list.map(({ where }) => where)).toEqual([...new Set(legs)]);
    }
    const steepest = Math.max(...tilts);
    const { list } = foundAt(steepest - toRad(0.5));
    const [leg, tilt] = [1 + (tilts.findIndex((tilt) => tilt > steepest - 1e-9) >> 1), toDeg(steepest)];
    expect(list[0]).toEqual({
      at_s: 2,
      where: `leg${String(leg)}`,
      what: 'rod_end',
      message: `a rod end of leg${String(leg)} tilts ${tilt.toFixed(2)} deg, its limit is ${(tilt - 0.5).toFixed(2)} deg`,
    });
  });

  it('of cranks that are nowhere are not within it; without a limit none is looked at', () => {
    expect(foundAt(toRad(80), cranks.with(3, NaN)).list.map(({ where }) => where)).toEqual(['leg4']);
    expect(foundAt(null).count).toBe(0);
    const without = new Breaches(rigOf({ platform: null }));
    without.rodEnds(2, pose, cranks);
    expect(without.count).toBe(0);
  });
});

describe('what is no joint’s', () => {
  const noted = (note: (breaches: Breaches) => void): string[] => {
    const breaches = new Breaches(rig);
    note(breaches);
    return breaches.list.map(({ where, what, message }) => `${where} ${what}: ${message}`);
  };

  it('is found too: a plate that no pose fits, a trip, silence in three ways', () => {
    expect(noted((b) => b.assembly(1))).toEqual(['path assembly: no pose of the plate fits the six delivered legs']);
    expect(noted((b) => b.tripped(1, 'late ticks'))).toEqual(['guard tripped: the controller tripped: late ticks']);
    expect(noted((b) => b.gaveUp(1, 10))).toEqual([
      'guard silence: no frame arrived in time for 10 s: the controller settled the prop',
    ]);
    expect(noted((b) => b.silent('limp'))).toEqual(['link silence: the stream never played: the controller is limp']);
  });

  it('telemetry of another number of joints is none of this rig; before it has one it speaks of none', () => {
    const of = (joints: number): string[] => noted((b) => b.guard(1, { ...emptyTelemetry(), joints }));
    expect(of(8)).toEqual([]);
    expect(of(0)).toEqual([]);
    expect(of(7)).toEqual(['guard silence: telemetry reports 7 joints, the rig has 8']);
  });
});

describe('the list', () => {
  const fast = telemetryOf(NOD, { ...still(nod), rise: nod.speed * 2 });

  it('has the same breach once a second; all are counted', () => {
    const breaches = new Breaches(rig);
    for (const at_s of [1, 1.5, 1.99, 2, 2.5]) breaches.joint(NOD, at_s, fast, HZ);
    expect(breaches.list.map(({ at_s }) => at_s)).toEqual([1, 2]);
    expect(breaches.count).toBe(5);
  });

  it('ends after a hundred', () => {
    const breaches = new Breaches(rig);
    for (let n = 0; n < 150; n++) breaches.joint(NOD, 2 * n, fast, HZ);
    expect([breaches.list.length, breaches.count]).toEqual([100, 150]);
  });
});
