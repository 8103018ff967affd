/** The designs in a terminal: what was asked above each column, what all have alike in a line, and what to type next. */
import { describe, expect, it } from 'vitest';
import type { Answer } from '../../../../host/design/answer.ts';
import { designOf } from '../../../../host/design/design.ts';
import type { Alone, Judged } from '../../../../host/design/judge.ts';
import { describeProblem, subjectOf } from '../../../../host/design/problem-of.ts';
import { answerWords } from '../../../../host/cli/design/words.ts';
import type { StoredStream } from '../../../../host/stream/stored.ts';
import { NECK, wantOf } from '../../design/want/wants.ts';
import type { Io } from '../../../../host/cli/io.ts';

const io = { stdout: { columns: 100, write: () => true } } as unknown as Io;
const want = wantOf(NECK);
const subject = subjectOf(describeProblem(want));
const travel = (by: number) =>
  ['x', 'y', 'z', 'roll', 'pitch', 'yaw'].map((axis, k) => ({
    axis,
    unit: k < 3 ? 'mm' : 'deg',
    minus: -by,
    plus: by,
  }));

function shown(i: number, rod_mm: number, left_alone: readonly Alone[] = []): Answer['front']['shown'][number] {
  const judged = {
    rig: want.base,
    travel: travel(15 + i),
    use: null,
    hold_use: 0.2,
    torque_used: { use: 0.2 + i / 10, joint: 'leg2', where: 'nod -30 deg' },
    lowest_hz: 6,
    price: 140,
    size_mm: { base_radius: 70, plate_radius: 55, height: 150 },
    peak_a: null,
    axis_hold_nm: { nod: 0.4 },
    left_alone,
  } as unknown as Judged;
  return {
    ...{ file: `${String(i + 1)}-x.yaml`, name: 'x', why: 'smallest', balanced: i === 1, binds: [], objectives: [] },
    ...{ robust: null, travel_share: 1.05, least_axis: 'roll', volume_cm3: 2000 + i },
    design: {
      ...designOf(want.base),
      rod_mm,
      axes: [{ joint: 'nod', gear_ratio: 3, counterweight: { kg: 0.8, at_mm: 190 }, servo: 1 }],
    },
    judged,
  };
}

const told = (all: Answer['front']['shown'], own: Answer['subject'] = subject): string => {
  const answer: Answer = {
    subject: own,
    front: { shown: all, dropped: [], before_nm: { nod: 0.66 } },
    ...{ relaxed: [], nearest: [], missing: [], evaluated: 18_000, feasible: 9, late: false, few: false },
    ...{ complete: true, seed: 1 },
  };
  return answerWords(answer, { folder: 'neck', isCut: false }, io);
};

describe('the designs in a terminal', () => {
  const words = told([shown(0, 120), shown(1, 130)]);

  it('says above each column what was asked', () => {
    const [heads, asked, first] = words.split('\n').slice(2, 5) as [string, string, string];
    expect(heads).toMatch(/^design +z mm +roll deg +pitch deg +torque used/);
    expect(asked).toMatch(/^asked +-8 … 4 +±15 +-12 … 9 +≤ 50 %/);
    expect(first).toMatch(/^1-x +±15 +±15 +±15 +20 %/);
  });

  it('has what all have alike in a line, and the rest in columns', () => {
    expect(words).toMatch(/^design +rod +cylinder$/m);
    const line = /^all: .*/m.exec(words)![0];
    for (const part of ['travel 105 % roll', 'crank 22 mm', '6 × neck', 'nod counterweight 0.8 kg at 190 mm'])
      expect(line).toContain(part);
    expect(line).toContain('price of legs and nod 140');
  });

  it('names the joint and the place of the torque that is ranked, and what is not checked of a counterweight', () => {
    const plain = words.replace(/\s+/g, ' ');
    expect(plain).toContain('leg2 uses most torque, to hold: nod -30 deg');
    expect(plain).toContain('a counterweight counts as a point, and nothing is checked of its room');
    expect(plain).toContain('next posewright load neck/2-x.yaml says');
  });

  it('goes on with tune, retime and why where a joint is left alone along the stream', () => {
    const follow = { name: 'dusk.csv', stored: null as unknown as StoredStream };
    const moving = { ...subject, want: { ...want, must: { ...want.must, follow } } };
    const alone: Alone = { joint: 'lid', what: 'move', use: 3.32 };
    const plain = told([shown(0, 120), shown(1, 130, [alone])], moving).replace(/\s+/g, ' ');
    expect(plain).toContain(
      'posewright tune neck/2-x.yaml --stream neck/asked/dusk.csv -o neck/tuned.yaml posewright retime neck/tuned.yaml neck/asked/dusk.csv -o neck/slower.csv posewright why neck/tuned.yaml neck/slower.csv',
    );
    expect(told([shown(0, 120, [alone]), shown(1, 130)], moving)).not.toContain('retime neck/');
  });
});
