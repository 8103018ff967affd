/** The prop in the page stands where its rig and its joints put it, and is outlined as an eye sees it. */
import { readFileSync } from 'node:fs';
import * as THREE from 'three';
import { describe, expect, it } from 'vitest';
import { inverse } from '../../../host/physics/kinematics/inverse.ts';
import { readRig } from '../../../host/rig/read.ts';
import { type Pose, type Rig, toRad } from '../../../host/rig/rig.ts';
import { WORLD } from '../../../host/report/draw/frames.ts';
import { meshFilesOf } from '../../../host/stage/meshes.ts';
import { Batches } from '../../../host/stage/page/prop/batches.ts';
import { outlineOf, shapeOf } from '../../../host/stage/page/prop/bodies.ts';
import { limbsOf, thickness } from '../../../host/stage/page/prop/limbs.ts';
import { eyeAt, fitting, turned, zoomed } from '../../../host/stage/page/prop/orbit.ts';
import { apart, marksOf, outlineSeen, touched } from '../../../host/stage/page/prop/outline.ts';
import { PropScene, framesAt } from '../../../host/stage/page/prop/scene.ts';
import { paintsOf, skinFrom } from '../../../host/stage/page/prop/skin.ts';

const owl = readRig(readFileSync('host/demo/night-owl.yaml', 'utf8')).rig!;
const paints = paintsOf(skinFrom(() => '#204080'));
const EYE = [800, -400, 200] as const;
const unused = new Array<number>(10).fill(0.1);

function at(pose: Pose, others: number[] = [0, 0, 0, 0]): { coordinates: number[]; pose: Pose } {
  return { coordinates: [...inverse(owl.platform!, pose)!, ...others], pose };
}

/** Where a named object's own point is in the world, mm. */
function where(scene: PropScene, name: string, point = new THREE.Vector3()): number[] {
  scene.root.updateMatrixWorld(true);
  return scene.root.getObjectByName(name)!.localToWorld(point.clone()).toArray();
}

describe('the scene', () => {
  it('has the shell where the file puts it: pivot 38 of 40 mm ahead of a plate that looks along x', () => {
    const scene = new PropScene(owl, paints);
    scene.update(at([0, 0, 0, 0, 0, 0]), unused, null, EYE);
    // mount at (30, 0, 55) turned 90 deg about y: the plate's z is the world's x.
    expect(where(scene, 'shell')).toEqual(
      [30 + owl.platform!.home_z_mm + 38, 0, 55].map((is) => expect.closeTo(is, 6)),
    );
  });

  it('moves it by the pose in the carrier’s axes, and by the nod about y = 0, z = 0', () => {
    const scene = new PropScene(owl, paints);
    scene.update(at([0, 0, 0, 0, 0, 0]), unused, null, EYE);
    const [x, y, z] = where(scene, 'shell');
    scene.update(at([3, -5, 4, 0, 0, 0]), unused, null, EYE);
    expect(where(scene, 'shell')).toEqual([x! + 3, y! - 5, z! + 4].map((is) => expect.closeTo(is, 6)));
    const up = toRad(10);
    scene.update(at([0, 0, 0, 0, 0, 0], [up, 0, 0, 0]), unused, null, EYE);
    const turnedUp = [Math.cos(up) * x! - Math.sin(up) * z!, 0, Math.sin(up) * x! + Math.cos(up) * z!];
    expect(where(scene, 'shell')).toEqual(turnedUp.map((is) => expect.closeTo(is, 6)));
  });

  it('has cranks and rods as long as the file says, whatever the pose', () => {
    for (const pose of [
      [0, 0, 0, 0, 0, 0],
      [4, 3, -6, 0.05, -0.04, 0.1],
    ] as Pose[]) {
      const stance = at(pose, [0.2, 0, 0, 0]);
      const frames = framesAt(owl, stance);
      for (const { kind, ends, joint } of limbsOf(owl)) {
        if (kind === 'arm') continue;
        const [from, to] = ends(frames, stance.coordinates)!;
        const long = Math.hypot(to[0] - from[0], to[1] - from[1], to[2] - from[2]);
        expect(long, `${kind} ${joint}`).toBeCloseTo(kind === 'crank' ? 22 : 120, 6);
      }
    }
  });

  it('stays as it was where nothing of the pose is known', () => {
    const scene = new PropScene(owl, paints);
    scene.update(at([0, 4, 0, 0, 0, 0]), unused, null, EYE);
    const before = where(scene, 'shell');
    scene.update({ ...at([0, 0, 0, 0, 0, 0]), pose: null }, unused, null, EYE);
    expect(where(scene, 'shell')).toEqual(before);
  });

  it('swings what has no axis by its angle: the lid lifts', () => {
    const scene = new PropScene(owl, paints);
    const lid = scene.outlined.find(({ name }) => name === 'lid')!;
    const stance = at([0, 0, 0, 0, 0, 0], [0, toRad(50), 0, 0]);
    const open = lid.frame(framesAt(owl, stance), stance.coordinates)!;
    // Its pole, ahead (the plate's z) when shut, has gone up by the angle.
    const ahead = [0, 3, 6].map((row) => open.turn[(row + 2) as 2]);
    expect(ahead).toEqual([Math.cos(toRad(50)), 0, Math.sin(toRad(50))].map((is) => expect.closeTo(is, 9)));
  });

  it('draws a part without a shape as a ball of its mass in water: 90 g has a radius of 27.8 mm', () => {
    const beak = shapeOf(owl.parts.find(({ name }) => name === 'beak')!);
    expect(beak).toEqual({ kind: 'ellipsoid', radii_mm: [27.8, 27.8, 27.8].map((is) => expect.closeTo(is, 1)) });
  });

  it('leaves out a part that is not fitted: its body, its outline, what it would hide, the arm that would carry it', () => {
    const kept = new Set(['shell', 'frame']);
    const without: Rig = { ...owl, parts: owl.parts.map((part) => ({ ...part, fitted: !kept.has(part.name) })) };
    const [all, left] = [new PropScene(owl, paints), new PropScene(without, paints)];
    const names = (scene: PropScene): string[] => {
      const found: string[] = [];
      scene.root.traverse(({ name }) => found.push(name));
      return found.filter((name) => owl.parts.some((part) => part.name === name));
    };
    expect(
      names(all)
        .filter((name) => !names(left).includes(name))
        .sort(),
    ).toEqual([...kept].sort());
    const outlined = ({ outlined }: PropScene): string[] => outlined.map(({ name }) => name);
    expect(outlined(all)).toContain('shell');
    expect(outlined(left)).not.toContain('shell');
    // Within the shell, where nobody sees it.
    const hidden = owl.parts.filter(
      ({ on, name }) => on === 'moving' && names(all).includes(name) && !outlined(all).includes(name),
    );
    expect(hidden.length).toBeGreaterThan(0);
    expect(outlined(left)).toEqual(expect.arrayContaining(hidden.map(({ name }) => name)));
    // The arm to the frame is one limb, a bar and a notch.
    expect(all.root.children.length - left.root.children.length).toBe(1);
  });

  it('builds a rig without a platform', () => {
    const arm: Rig = {
      ...owl,
      platform: null,
      joints: owl.joints.slice(6),
      parts: owl.parts.filter(({ on }) => on === 'nod'),
    };
    const scene = new PropScene(arm, paints);
    scene.update({ coordinates: [0.1, 0, 0, 0], pose: null }, unused, null, EYE);
    expect(where(scene, 'frame')[2]).toBeGreaterThan(40);
  });
});

describe('what is drawn', () => {
  const counted = (batches: Batches): { calls: number; shown: number } => {
    let [calls, shown] = [0, 0];
    for (const one of batches.drawn.children) {
      if (one.visible) calls++;
      if (one instanceof THREE.BatchedMesh)
        for (let id = 0; id < one.instanceCount; id++) if (one.getVisibleAt(id)) shown++;
    }
    return { calls, shown };
  };

  it('is all of the scene, where the scene has it, in few calls', () => {
    const scene = new PropScene(owl, paints);
    const batches = new Batches(scene.root, paints);
    let solids = 0;
    scene.root.traverse((one) => (solids += one instanceof THREE.Mesh ? 1 : 0));
    scene.ticks.visible = true;
    scene.update(at([3, -5, 4, 0.1, 0, 0]), unused, null, EYE);
    batches.update();
    // The cranks show no bar across.
    expect(counted(batches).shown).toBe(solids - 6);
    expect(solids).toBeGreaterThan(60);
    expect(counted(batches).calls).toBeLessThan(12);
    const shell = scene.root.getObjectByName('shell')!;
    const there = new THREE.Matrix4();
    const isThere = batches.drawn.children.some(
      (one) =>
        one instanceof THREE.BatchedMesh &&
        Array.from({ length: one.instanceCount }, (_, id) => id).some((id) =>
          near(one.getMatrixAt(id, there), shell.matrixWorld),
        ),
    );
    expect(isThere).toBe(true);
  });

  it('draws a part by its mesh once that has come, its origin where the file puts it, in place of its box', () => {
    const shape = {
      kind: 'mesh',
      file: 'head.stl',
      origin_mm: [-1, -2, -3],
      middle_mm: [4, 0, 0],
      size_mm: [60, 60, 60],
      inertia_mm2: [1, 0, 0, 0, 1, 0, 0, 0, 1],
    } as const;
    const rig: Rig = { ...owl, parts: owl.parts.map((part) => (part.name === 'shell' ? { ...part, shape } : part)) };
    const scene = new PropScene(rig, paints);
    const batches = new Batches(scene.root, paints);
    scene.update(at([0, 0, 0, 0, 0, 0]), unused, null, EYE);
    batches.update();
    const before = counted(batches);
    const [x, y, z] = where(scene, 'shell', new THREE.Vector3(-4, 0, 0));
    const mesh = new THREE.BoxGeometry(1, 1, 1);
    expect(scene.showMesh('other.stl', mesh)).toEqual([]);
    expect(meshFilesOf(rig)).toEqual(['head.stl']);
    expect(meshFilesOf({ ...rig, parts: rig.parts.map((part) => ({ ...part, fitted: false })) })).toEqual([]);
    for (const one of scene.showMesh('head.stl', mesh)) batches.exchange(one);
    batches.update();
    const drawn = scene.root.getObjectByName('shell') as THREE.Mesh;
    const middle = new THREE.Vector3();
    new THREE.Box3().setFromBufferAttribute(drawn.geometry.getAttribute('position') as never).getCenter(middle);
    // The plate's axes x, y, z are the world's -z, y, x.
    expect(where(scene, 'shell', middle)).toEqual([x! - 3, y! - 2, z! + 1].map((is) => expect.closeTo(is, 5)));
    const after = counted(batches);
    expect([before.shown - after.shown, after.calls - before.calls]).toEqual([2, 2]);
  });

  it('hatches a limb that is short in place of its bar, and hides the ticks with their group', () => {
    const scene = new PropScene(owl, paints);
    const batches = new Batches(scene.root, paints);
    scene.ticks.visible = true;
    scene.update(at([0, 0, 0, 0, 0, 0]), unused, null, EYE);
    batches.update();
    const before = counted(batches);
    scene.ticks.visible = false;
    scene.update(at([0, 0, 0, 0, 0, 0]), unused.with(2, 1.2), null, EYE);
    batches.update();
    // Twelve ticks, a crank and a rod; the two are meshes of their own now.
    expect(before.shown - counted(batches).shown).toBe(12 + 2);
    expect(counted(batches).calls - before.calls).toBe(2);
  });
});

/** Matrices of a batch are f32. */
const near = (a: THREE.Matrix4, b: THREE.Matrix4): boolean =>
  a.elements.every((value, k) => Math.abs(value - b.elements[k]!) < 1e-3);

describe('effort', () => {
  it('is once as thick at nothing, three times at all of the torque, and no more past it', () => {
    expect([0, 0.5, 1, 7, Infinity, NaN].map(thickness)).toEqual([1, 2, 3, 3, 3, 1]);
  });

  it('hatches the limb that is short, and gives what stops a pose the colour of a stop', () => {
    const scene = new PropScene(owl, paints);
    const stance = at([0, 0, 0, 0, 0, 0]);
    const painted = (use: number[], stopped: string | null): number[] => {
      scene.update(stance, use, stopped, EYE);
      const seen = [0, 0];
      scene.root.traverse((one) => {
        if (!(one instanceof THREE.Mesh)) return;
        if (one.material === paints.short) seen[0]!++;
        if (one.material === paints.stopped) seen[1]!++;
      });
      return seen;
    };
    expect(painted(unused, null)).toEqual([0, 0]);
    // A crank and a rod a leg.
    expect(painted(unused.with(2, 1.2), 'leg5')).toEqual([2, 2]);
  });
});

describe('an outline', () => {
  it('of a ball is the circle that its tangents touch: r·√(1 - r²/d²) round, r²/d before its middle', () => {
    for (const [x, y, z] of touched([50, 0, 0], [0, 0, 0], [30, 30, 30])) {
      expect(x).toBeCloseTo(900 / 50, 9);
      expect(Math.hypot(y, z)).toBeCloseTo(30 * Math.sqrt(1 - 900 / 2500), 9);
    }
  });

  it('is none from inside', () => {
    expect(touched([1, 2, 3], [0, 0, 0], [30, 20, 10])).toEqual([]);
  });

  it('of an ellipsoid touches it: every ray along its surface there', () => {
    const [eye, at_mm, radii] = [
      [300, -80, 90],
      [5, 6, 7],
      [60, 55, 50],
    ] as const;
    for (const point of touched(eye, at_mm, radii)) {
      const on = point.map((value, k) => (value - at_mm[k]!) / radii[k]!);
      const normal = on.map((value, k) => value / radii[k]!);
      expect(Math.hypot(...on)).toBeCloseTo(1, 9);
      expect(normal.reduce((sum, n, k) => sum + n * (eye[k]! - point[k]!), 0)).toBeCloseTo(0, 9);
    }
  });

  it('is as far from another as its marks are on the picture', () => {
    const marks = marksOf({ kind: 'ellipsoid', at_mm: [1, 2, 3], radii_mm: [4, 5, 6] });
    const flat = ([x, , z]: readonly [number, number, number]): readonly [number, number] => [x, z];
    expect(apart(marks, WORLD, WORLD, flat)).toBe(0);
    expect(apart(marks, WORLD, { ...WORLD, origin_mm: [3, 9, 4] }, flat)).toBeCloseTo(5, 9);
    // Half a turn about z moves the mark at x = 1 + 4 furthest: to the other side.
    expect(apart(marks, WORLD, { ...WORLD, turn: [-1, 0, 0, 0, -1, 0, 0, 0, 1] }, flat)).toBeCloseTo(10, 9);
  });

  it('of a box seen from its side is its side', () => {
    const box = outlineOf({ ...owl.parts[5]!, at_mm: [0, 0, 0], shape: { kind: 'box', size_mm: [10, 20, 30] } });
    const seen = outlineSeen(box, WORLD, [0, -100, 0], ([x, , z]) => [x, z]);
    expect([...seen].sort((a, b) => a[0] - b[0] || a[1] - b[1])).toEqual([
      [-5, -15],
      [-5, 15],
      [5, -15],
      [5, 15],
    ]);
  });
});

describe('the eye', () => {
  it('keeps its distance as it walks around, and stays between the ground and straight above', () => {
    const orbit = fitting([10, 20, 30], 150, 1.6);
    const [x, y, z] = eyeAt(turned(orbit, 1, 9));
    expect(Math.hypot(x - 10, y - 20, z - 30)).toBeCloseTo(orbit.distance_mm, 6);
    expect(turned(orbit, 0, 9).elevation_rad).toBeLessThan(Math.PI / 2);
    expect(zoomed(orbit, 0, 150).distance_mm).toBe(150);
  });
});
