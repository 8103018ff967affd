/**
 * A rig as a model for MuJoCo, an independent rigid-body engine (npm package mujoco-js, Apache-2.0): bodies, hinges and geoms
 * from the rig's own figures, in SI. Nothing of host/physics is used, so that the two check each other.
 */
import type { Joint, Part, Platform, Rig, Shape, Vec3 } from '../../../host/rig/rig.ts';
import { type Mat3, mulVec, rpyMatrix } from '../../../host/rig/rotation.ts';

const MM = 1e-3;

const nums = (values: readonly number[]): string => values.map((value) => value.toPrecision(17)).join(' ');
const metres = (v: Vec3): string => nums(v.map((value) => value * MM));
const add = (a: Vec3, b: Vec3): Vec3 => [a[0] + b[0], a[1] + b[1], a[2] + b[2]];
/** A body without a joint of its own, fixed where it is. */
const fixed = (at_mm: Vec3, m: Mat3, inside: string): string =>
  `<body pos="${metres(at_mm)}" xyaxes="${nums([m[0], m[3], m[6], m[1], m[4], m[7]])}">${inside}</body>`;

/** Type and half sizes of a geom; a part without a shape is the solid ball of 300 kg/m³ that the rig file takes it for. */
function geomOf(shape: Shape | null, mass_kg: number): string {
  const halves = (...sizes: readonly number[]): string => nums(sizes.map((size) => size * MM));
  switch (shape?.kind) {
    case undefined:
      return `type="sphere" size="${nums([Math.cbrt((3 * mass_kg) / (4 * Math.PI * 300))])}"`;
    case 'box':
      return `type="box" size="${halves(...shape.size_mm.map((size) => size / 2))}"`;
    case 'ellipsoid':
      return `type="ellipsoid" size="${halves(...shape.radii_mm)}"`;
    case 'ellipsoid_shell':
      return `type="ellipsoid" shellinertia="true" size="${halves(...shape.radii_mm)}"`;
    case 'mesh':
      throw new Error('the engine reads no meshes here: host/rig/mesh has its own checks');
    case 'cylinder':
      return `type="cylinder" zaxis="${nums(shape.along)}" size="${halves(shape.radius_mm, shape.length_mm / 2)}"`;
  }
}

/** A part whose mass is known, on its carrier. */
function partOf({ fitted, mass_kg, at_mm, shape, inertia_kgmm2 }: Part): string {
  if (!fitted || mass_kg === null) return '';
  if (!inertia_kgmm2) return `<geom pos="${metres(at_mm)}" mass="${nums([mass_kg])}" ${geomOf(shape, mass_kg)}/>`;
  const about = nums(inertia_kgmm2.map((value) => value * MM * MM));
  return `<body pos="${metres(at_mm)}"><inertial pos="0 0 0" mass="${nums([mass_kg])}" diaginertia="${about}"/></body>`;
}

/** Loads of joints without an axis, such as a lid's: points on the plate, where the joint sits. */
function facesOn({ joints, platform }: Rig, name: string): string[] {
  if (name !== 'moving' || !platform) return [];
  return joints.flatMap(({ axis, at_mm, load }) =>
    axis === null && load?.mass_kg
      ? [
          `<body pos="${metres(at_mm ?? [0, 0, 0])}"><inertial pos="0 0 0" mass="${nums([load.mass_kg])}" diaginertia="1e-12 1e-12 1e-12"/></body>`,
        ]
      : [],
  );
}

/** Motor time constant of a servo whose rotor the file does not give, s. */
const MOTOR_TIME_S = 0.01;

/** What a joint's rotor adds at its coordinate, kg·m² behind its gear, or kg of a linear servo: J = τ·stall / no-load speed. */
export function rotorOf({ servo, gear_ratio }: Joint): number {
  const { drive, stall, no_load_speed, rotor_inertia_kgm2 } = servo;
  const likely = (MOTOR_TIME_S * (stall ?? 0)) / (no_load_speed ?? Infinity);
  return drive === 'linear' ? likely / MM : (rotor_inertia_kgm2 ?? likely) * gear_ratio ** 2;
}

/** The MJCF text. @param isLocked the plate and the cranks are one with the base, which stands at home. */
export function mjcfOf(rig: Rig, isLocked = false): string {
  const { platform, joints, parts } = rig;
  const on = (name: string): string =>
    [...parts.filter((part) => part.on === name).map(partOf), ...facesOn(rig, name)].join('');
  const rotor = (name: string): string => nums([rotorOf(joints.find((joint) => joint.name === name)!)]);

  const crank = (p: Platform, i: number): string => {
    const { base_mm, azimuth_rad: b } = p.legs[i]!;
    const [along, hinge]: [Vec3, Vec3] = [
      [Math.cos(b), Math.sin(b), 0],
      [Math.sin(b), -Math.cos(b), 0],
    ];
    const tip = along.map((part) => part * p.crank_mm) as unknown as Vec3;
    const bar = `<inertial pos="${metres(tip.map((part) => part / 2) as unknown as Vec3)}" mass="${nums([p.crank_kg ?? 0])}" fullinertia="${barInertia(along, p.crank_kg ?? 0, p.crank_mm)}"/>`;
    return `<body pos="${metres(base_mm)}"><joint name="leg${i + 1}" axis="${nums(hinge)}" armature="${rotor(`leg${i + 1}`)}"/>${p.crank_kg ? bar : ''}<site name="from${i + 1}" pos="${metres(tip)}"/>${p.rod_kg ? rod(p, i, tip) : ''}</body>`;
  };
  /** A rod that weighs: a bar on two hinges at the crank's tip, upright when both are 0. */
  const rod = (p: Platform, i: number, tip: Vec3): string =>
    `<body pos="${metres(tip)}"><joint name="rod${i + 1}x" axis="1 0 0"/><body><joint name="rod${i + 1}y" axis="0 1 0"/><inertial pos="0 0 ${nums([(p.rod_mm * MM) / 2])}" mass="${nums([p.rod_kg!])}" fullinertia="${barInertia([0, 0, 1], p.rod_kg!, p.rod_mm)}"/><site name="end${i + 1}" pos="0 0 ${nums([p.rod_mm * MM])}"/></body></body>`;
  const base = (p: Platform): string => {
    const start = ({ base_mm }: Platform['legs'][number], i: number): string =>
      `<site name="from${i + 1}" pos="${metres(base_mm)}"/>`;
    const legs = p.drive === 'linear' ? p.legs.map(start) : p.legs.map((_, i) => crank(p, i));
    return fixed(p.mount.at_mm, rpyMatrix(p.mount.rpy_rad), on('base') + (isLocked ? '' : legs.join('')));
  };
  /** The plate: three slides along the carrier's axes and a ball at its pivot; what is fixed to it stands along the mount. */
  const plate = (p: Platform): string => {
    const turn = rpyMatrix(p.mount.rpy_rad);
    const pivot = add(p.mount.at_mm, mulVec(turn, add(p.pivot_mm, [0, 0, p.home_z_mm])));
    const back = mulVec(turn, p.pivot_mm).map((part) => -part) as unknown as Vec3;
    const sites = p.legs.map(({ moving_mm }, i) => `<site name="to${i + 1}" pos="${metres(moving_mm)}"/>`).join('');
    const slides = ['1 0 0', '0 1 0', '0 0 1'].map(
      (axis, k) => `<joint name="plate${k}" type="slide" axis="${axis}"/>`,
    );
    const free = isLocked ? '' : `${slides.join('')}<joint name="plate" type="ball"/>`;
    return `<body pos="${metres(pivot)}">${free}${fixed(back, turn, on('moving') + sites)}</body>`;
  };
  const carried = (name: string | null): string => {
    const axes = joints.filter(({ axis }) => axis?.on === name);
    const inside = axes.map((joint) => {
      const { at_mm, along } = joint.axis!;
      const hinge = `<joint name="${joint.name}" pos="${metres(at_mm)}" axis="${nums(along)}" armature="${rotor(joint.name)}"/>`;
      return `<body>${hinge}${on(joint.name)}${carried(joint.name)}</body>`;
    });
    return inside.join('') + (platform && platform.on === name ? base(platform) + plate(platform) : '');
  };
  return `<mujoco><compiler angle="radian" boundmass="1e-12" boundinertia="1e-12"/><option gravity="0 0 -9.80665"><flag contact="disable"/></option><default><geom contype="0" conaffinity="0"/></default><worldbody>${carried(null)}</worldbody></mujoco>`;
}

/** A thin bar about its centre, xx yy zz xy xz yz: m·L²/12·(1 - e·eᵀ). A trace of thickness, as the engine wants every moment above 0. */
function barInertia(e: Vec3, mass_kg: number, length_mm: number): string {
  const k = (mass_kg * (length_mm * MM) ** 2) / 12;
  const trace = 1e-7 * k;
  return nums([
    k * (1 - e[0] * e[0]) + trace,
    k * (1 - e[1] * e[1]) + trace,
    k * (1 - e[2] * e[2]) + trace,
    -k * e[0] * e[1],
    -k * e[0] * e[2],
    -k * e[1] * e[2],
  ]);
}
