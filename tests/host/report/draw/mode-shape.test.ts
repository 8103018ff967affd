/** Mode shapes as drawings: ends of the swing against frames moved by hand along the mode's shape. */
import { describe, expect, it } from 'vitest';
import { modesAt } from '../../../../host/physics/vibration/modes.ts';
import { homePosture } from '../../../../host/physics/dynamics/places.ts';
import { framesOf, inWorld } from '../../../../host/report/draw/frames.ts';
import { type Swing, swingOf, travelOf } from '../../../../host/report/draw/mode-shape.ts';
import { VIEWS, extentOf, propSide } from '../../../../host/report/draw/prop.ts';
import { type Point, fromSide } from '../../../../host/report/draw/silhouette.ts';
import { HOME, type Pose } from '../../../../host/rig/rig.ts';
import { OWL, TILT, rigFrom } from '../../load/rigs.ts';

const owl = rigFrom(OWL);
const at = homePosture(owl);
const modes = modesAt(owl, at.q, at.pose)!.modes;
const swings = modes.map((mode) => ({ mode, swing: swingOf(owl, at, mode) }));
const drawn = swings.filter((one): one is typeof one & { swing: Swing } => one.swing !== null);

describe('the owl’s modes', () => {
  it('are drawn, all seven; the lid swings by itself on its rotor, which is no picture', () => {
    expect([modes.length, drawn.length]).toEqual([8, 7]);
    expect(swings.filter(({ swing }) => swing === null).map(({ mode }) => mode.mostly)).toEqual([['lid']]);
  });

  it.each(drawn.map(({ mode }) => [mode.mostly.join('+'), mode] as const))(
    '%s: each joint stands at rest ± by·shape, the plate where the mode puts it',
    (_, mode) => {
      const swing = swingOf(owl, at, mode, 0.01)!;
      const shape = (role: string) => swing.shapes.find((one) => one.role === role && one.name === 'leg1')!;
      const placed = (sign: 1 | -1) => at.q.map((rest, i) => rest + sign * swing.by * mode.shape[i]!);
      const linear = ([1, -1] as const).map((sign) => {
        const pose = mode.plate!.map((rate) => sign * swing.by * rate) as unknown as Pose;
        const moving = framesOf(owl, placed(sign), pose, VIEWS[swing.seen]).get('moving')!;
        return fromSide(inWorld(moving, owl.platform!.legs[0]!.moving_mm));
      });
      const { plus, minus } = shape('rod');
      // Half of end to end is the shape itself to second order: what bends both ends alike falls out.
      const half = (a: Point, b: Point): Point => [(a[0] - b[0]) / 2, (a[1] - b[1]) / 2];
      const [drawnHalf, shapeHalf] = [half(plus[1]!, minus[1]!), half(linear[0]!, linear[1]!)];
      const off = Math.hypot(drawnHalf[0] - shapeHalf[0], drawnHalf[1] - shapeHalf[1]);
      expect(off).toBeLessThan(0.005 * swing.largest_mm);
      // Cranks turn exactly as far as the shape says.
      for (const [end, sign] of [
        ['plus', 1],
        ['minus', -1],
      ] as const) {
        const exact = propSide(owl, placed(sign), HOME, VIEWS[swing.seen]).find(
          ({ role, name }) => role === 'crank' && name === 'leg1',
        )!;
        if (exact.kind !== 'line') throw new Error('a crank is a line');
        expect(shape('crank')[end][1]![0]).toBeCloseTo(exact.points[1]![0], 9);
        expect(shape('crank')[end][1]![1]).toBeCloseTo(exact.points[1]![1], 9);
      }
    },
  );

  it('go as far as is seen, and say how far', () => {
    for (const { swing } of drawn) {
      const { x, z } = extentOf(propSide(owl, at.q, at.pose, VIEWS[swing.seen]));
      const size = Math.max(x[1] - x[0], z[1] - z[0]);
      expect(swing.largest_mm / size).toBeGreaterThan(0.03);
      expect(swing.largest_mm / size).toBeLessThan(0.09);
      expect(Math.max(...swing.shapes.map(travelOf))).toBe(swing.largest_mm);
    }
  });

  it('are looked at from where they move most: a nod from the side, a turn not', () => {
    const seen = (name: string): string | undefined => drawn.find(({ mode }) => mode.mostly[0] === name)?.swing.seen;
    expect([seen('nod'), seen('roll'), seen('yaw')]).toEqual(['side', 'front', 'above']);
  });

  it('have as many points at rest as at the ends, none of them NaN', () => {
    for (const { swing } of drawn)
      for (const { rest, plus, minus } of swing.shapes) {
        expect([plus.length, minus.length]).toEqual([rest.length, rest.length]);
        expect([...rest, ...plus, ...minus].flat().every(Number.isFinite)).toBe(true);
      }
  });
});

it('outlines are those of the drawing: the box and the ellipse touch the same extent', () => {
  const { swing } = drawn[0]!;
  const whole = extentOf(propSide(owl, at.q, at.pose, VIEWS[swing.seen]).filter(({ name }) => name === 'shell'));
  const shell = swing.shapes.find(({ name }) => name === 'shell')!.rest;
  // 40 points of an ellipse of 60 mm reach within 60·(1 - cos 4.5 deg) of its edge.
  for (const [k, range] of [whole.x, whole.z].entries()) {
    expect(Math.min(...shell.map((point) => point[k]!))).toBeCloseTo(range[0], 0);
    expect(Math.max(...shell.map((point) => point[k]!))).toBeCloseTo(range[1], 0);
  }
});

it('a tilt without a platform swings too', () => {
  const tilt = rigFrom(TILT);
  const home = homePosture(tilt);
  const [first] = modesAt(tilt, home.q, HOME)!.modes.filter(({ mostly }) => mostly.includes('nod'));
  const swing = swingOf(tilt, home, first!)!;
  const head = swing.shapes.find(({ name, kind }) => name === 'head' && kind === 'dot')!;
  // 50 mm in front of its axis, turned by by·1 rad.
  expect(head.plus[0]![1]).toBeCloseTo(50 * Math.sin(swing.by), 9);
  expect(head.plus[0]![0]).toBeCloseTo(50 * Math.cos(swing.by), 9);
});

it('what has no place in space is not drawn', () => {
  const shape = owl.joints.map(({ name }) => (name === 'lid' ? 1 : 0));
  expect(swingOf(owl, at, { shape })).toBeNull();
});
