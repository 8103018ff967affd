/** The page of load: whole, and its bars as long as its figures. */
import { describe, expect, it } from 'vitest';
import { load } from '../../../host/load/load.ts';
import type { LoadAnswer } from '../../../host/load/result.ts';
import { renderLoadReport } from '../../../host/report/load-report.ts';
import { HOME, type Pose, type Rig } from '../../../host/rig/rig.ts';
import type { StoredStream } from '../../../host/stream/stored.ts';
import { LIFT, OWL, TILT, rigFrom, streamOf } from '../load/rigs.ts';
import { faultsOf, textOf } from './whole.ts';

interface Page {
  readonly html: string;
  readonly answer: LoadAnswer;
}

function pageOf(rig: Rig, stream: StoredStream | null = null, pose: Pose = HOME, without: string[] = []): Page {
  const answer = load(rig, { pose, without, stream: stream && { name: 'shows/<first>.csv', stored: stream } });
  if ('refused' in answer) throw new Error(answer.refused);
  return { html: renderLoadReport(rig, answer, stream), answer };
}

const owl = rigFrom(OWL);
const tilt = rigFrom(TILT);
const nod = (size: number, hz: number) => (t: number) => ({
  joints: [(size * (1 - Math.cos(2 * Math.PI * hz * t))) / 2],
});
const jump = (t: number) => ({ joints: [t < 1 ? 0 : -20] });
const unknown = rigFrom(
  OWL,
  ['    stall_torque_nm: 1.9\n', '    stall_torque_nm: unknown\n'],
  ['    stall_current_a: 1\n', ''],
  ['    stall_current_a: 0.5\n', ''],
  ['supply: { kind: mains, voltage_v: 6, current_a: 10 }\n', ''],
);
const weak = rigFrom(TILT, ['mass_kg: 0.9', 'mass_kg: 12'], ['current_a: 10', 'current_a: 2']);

const PAGES: readonly (readonly [string, Page])[] = [
  ['an owl that holds', pageOf(owl)],
  ['an owl that nods', pageOf(owl, streamOf(owl, 3, nod(-20, 0.5)))],
  ['a tilt on its own', pageOf(tilt, streamOf(tilt, 3, nod(20, 0.5)))],
  ['a tilt that is asked to jump', pageOf(tilt, streamOf(tilt, 2, jump))],
  ['a tilt too heavy to hold, and to power', pageOf(weak)],
  ['actuators', pageOf(rigFrom(LIFT))],
  ['figures that are unknown', pageOf(unknown, streamOf(unknown, 2, nod(-10, 0.5)))],
  ['a pose, and a part left out', pageOf(owl, null, [0, 0, 2, 0, 0, 0], ['shell'])],
  [
    'a stream out of reach',
    pageOf(
      owl,
      streamOf(owl, 1, () => ({ pose: [0, 0, 300, 0, 0, 0] })),
    ),
  ],
];
const page = (name: string): Page => PAGES.find(([one]) => one === name)![1];

describe.each(PAGES)('the page of %s', (_, { html, answer }) => {
  it('stands alone, well nested, without a script or a figure that is none', () => {
    expect(faultsOf(html)).toEqual([]);
    expect(html.length).toBeLessThan(600_000);
  });

  it('answers both questions, and says what it rests on and how to keep fingers', () => {
    const words = textOf(html);
    for (const part of ['Can it carry it?', 'Can you power it?', 'What it is based on', 'Keep hands clear'])
      expect(words).toContain(part);
    for (const { name } of answer.joints) expect(html).toContain(`scope="row">${name}</th>`);
  });

  it('has no bare figure in the words beside the bars', () => {
    const cells = [...html.matchAll(/<td role="cell" class="words">([^]*?)<\/td>/g)].map(([, cell]) => textOf(cell!));
    expect(cells.length).toBeGreaterThanOrEqual(answer.joints.length);
    const figures = /[\d.]+ (?:N·m|kgf·cm|N|deg\/s|mm\/s|A|s|%)(?![\w/])/g;
    for (const words of cells) expect(words.replace(figures, '')).not.toMatch(/(?<![a-z])\d/);
  });
});

/** Bars of one joint, px from nothing: solid, and hatched beyond the line; where the line is. */
function barsOf(html: string, name: string, kind: string): { solid: number; to: number; line: number } {
  const row = new RegExp(`scope="row">${name}</th>[^]*?</svg>`).exec(html)![0];
  const [, x = '', width = ''] = new RegExp(`<rect class="${kind}" x="([\\d.]+)"[^>]* width="([\\d.]+)"`).exec(row)!;
  const [, line = ''] = /class="all-of-it" d="M([\d.]+)/.exec(row)!;
  const after = row.slice(row.indexOf(`class="${kind}"`));
  const [, far = ''] = /^[^>]*>\s*<path class="beyond" d="M[\d.]+ \d+H([\d.]+)/.exec(after) ?? [];
  const zero = Number(x);
  const solid = Number(width);
  return { solid, to: far === '' ? solid : Number(far) - zero, line: Number(line) - zero };
}

describe('bars', () => {
  it('are as long as the use, to the 100 % line', () => {
    const { html, answer } = page('an owl that nods');
    for (const { name, hold_use, worst, along } of answer.joints.slice(0, 7)) {
      for (const [kind, use] of [
        ['hold', hold_use],
        ['hold-most', worst.use],
        ['move', along!.use],
      ] as const) {
        const { solid, line } = barsOf(html, name, kind);
        expect(solid / line).toBeCloseTo(use!, 1);
        expect(Math.abs(solid - Math.max(0.5, use! * line))).toBeLessThan(0.11);
      }
    }
  });

  it('go on hatched beyond the line, and say so', () => {
    const { html, answer } = page('a tilt too heavy to hold, and to power');
    const { hold_use } = answer.joints[0]!;
    expect(hold_use).toBeGreaterThan(1);
    const { solid, to, line } = barsOf(html, 'nod', 'hold');
    expect(solid).toBeCloseTo(line, 1);
    expect(to / line).toBeCloseTo(hold_use!, 2);
    expect(textOf(html)).toMatch(/nod to hold [\d.]+ N·m, 1\d\d %, more than it has/);
    expect(barsOf(page('an owl that nods').html, 'nod', 'move').to).toBeLessThan(line * 2);
  });

  it('too fast is words, and a bar that is torn off', () => {
    const { html } = page('a tilt that is asked to jump');
    expect(textOf(html)).toMatch(/asked for [\d ]+ deg\/s, faster than its servo can go \(120 deg\/s without load\)/);
    expect(html).toMatch(/class="short-of"/);
    expect(textOf(html)).toContain('nod: too fast');
    // Verdict, picture and bar are of one moment, the fastest.
    const [, peak = ''] = /nod would move at (\d+) deg\/s/.exec(textOf(html))!;
    expect(
      textOf(html)
        .match(/asked for ([\d ]+) deg\/s/g)
        ?.map((words) => words.replace(/\D/g, '')),
    ).toEqual([peak, peak]);
  });

  it('unknown is words, not a bar', () => {
    const { html } = page('figures that are unknown');
    const row = /scope="row">leg1<\/th>[^]*?<\/tr>/.exec(html)![0];
    expect(row).not.toMatch(/<rect/);
    expect(textOf(row)).toMatch(/use unknown, since its servo’s stall torque is/);
    expect(textOf(html)).toMatch(/What it draws Unknown: no servo’s current is known/);
    expect(textOf(html)).toContain('Can you power it? unknown No servo’s current');
    expect(textOf(html)).not.toMatch(/not told/i);
  });

  it('what is not told to hold is not told to move; no current is words', () => {
    const bare = rigFrom(TILT, [
      ', load: { mass_kg: 0.05, arm_mm: 30, arm_level_at_deg: 20, inertia_kgm2: 4.0e-5 }',
      '',
    ]);
    const light = rigFrom(TILT, ['mass_kg: 0.9', 'mass_kg: 0.001'], ['mass_kg: 0.05', 'mass_kg: 0.001']);
    const still = (): { joints: number[] } => ({ joints: [0, 10] });
    const row = /scope="row">lid<\/th>[^]*?<\/tr>/.exec(pageOf(bare, streamOf(bare, 1, still)).html)![0];
    expect(textOf(row)).toMatch(/to hold: unknown.*torque unknown/);
    expect(row).not.toMatch(/<rect/);
    const words = textOf(pageOf(light, streamOf(light, 1, still)).html);
    expect(words).toMatch(/next to nothing holding and moving; 4.0 A if all stall/i);
    expect(words).not.toMatch(/(?<!\d)0\.0 A/);
  });

  it('current goes to the supply’s line and is hatched beyond', () => {
    const { html, answer } = page('a tilt too heavy to hold, and to power');
    const row = /scope="row">holding<\/th>[^]*?<\/tr>/.exec(html)![0];
    const [, solid = ''] = /<rect class="hold" x="1" y="3" width="([\d.]+)"/.exec(row)!;
    const [, beyond = ''] = /<rect class="beyond"[^>]* width="([\d.]+)"/.exec(row)!;
    expect((Number(solid) + Number(beyond)) / Number(solid)).toBeCloseTo(answer.supply.hold_a! / 2, 2);
    expect(textOf(row)).toMatch(/2\.0\d A, more than the 2\.00 A of the supply/);
  });
});

describe('along a stream', () => {
  it('has a chart of each joint that works, at one scale, with its hardest moment', () => {
    const { html, answer } = page('an owl that nods');
    const charts = /<section id="time">[^]*?<\/section>/.exec(html)![0];
    const { along } = answer.joints.find(({ name }) => name === 'nod')!;
    expect(charts).toContain(`aria-label="nod: at most`);
    const hairlines = [...charts.matchAll(/class="mark" d="M([\d.]+)/g)].map(([, x]) => Number(x));
    const names = [...charts.matchAll(/class="name"[^>]*>(\w+)</g)].map(([, name]) => name);
    expect(hairlines).toHaveLength(names.length);
    // The plot goes from 60 to 280 px for 3 s.
    expect(hairlines[names.indexOf('nod')]).toBeCloseTo(60 + (220 * along!.at_s) / 3, 0);
    const lines = [...charts.matchAll(/class="all-of-it" d="M60 ([\d.]+)/g)].map(([, y]) => y);
    expect(new Set(lines).size).toBe(1);
  });

  it('is left out without one, and says so when nothing is in reach', () => {
    expect(page('an owl that holds').html).not.toContain('id="time"');
    expect(textOf(page('a stream out of reach').html)).toMatch(/nothing of the stream is in reach/);
  });
});

describe('the prop from the side', () => {
  it('rings who has more to do than it should, over home', () => {
    expect(page('a tilt too heavy to hold, and to power').html).toContain('class="stopped-words"');
    const { html } = page('an owl that holds');
    expect(html).not.toMatch(/<circle class="ring"|class="stopped-words"/);
    expect(textOf(html)).toContain('no servo with known figures is asked for more than it should be');
  });

  it('says who has most to do', () => {
    const { html } = page('an owl that nods');
    expect(textOf(html)).toMatch(/Hardest to hold .* has most to hold at .* Hardest to move nod works hardest at/);
  });

  it('a part that is left out is not drawn', () => {
    const svg = (html: string): string => /<section id="worst">[^]*?<\/section>/.exec(html)![0];
    expect(svg(page('a pose, and a part left out').html)).not.toContain('<ellipse');
    expect(svg(page('an owl that holds').html)).toContain('<ellipse');
  });
});

describe('swings', () => {
  it('move by SMIL over five phases, and stand still beside it for paper', () => {
    const { html } = page('an owl that holds');
    const modes = /<section id="modes">[^]*?<\/section>/.exec(html)![0];
    const figures = [...modes.matchAll(/<figure class="mode">[^]*?<\/figure>/g)].map(([one]) => one);
    expect(figures).toHaveLength(4);
    for (const one of figures) {
      const [still, moving] = [/<g class="now still">[^]*?<\/g>/, /<g class="now moving">[^]*?<\/g>/].map(
        (part) => part.exec(one)![0],
      );
      expect(still).not.toContain('<animate');
      for (const [, values = '', times = ''] of moving!.matchAll(/values="([^"]*)"[^>]*keyTimes="([^"]*)"/g)) {
        const phases = values.split(';');
        expect([phases.length, times.split(';').length, phases[0] === phases[4], phases[1] === phases[3]]).toEqual([
          5,
          5,
          true,
          true,
        ]);
        // As many commands in each, or nothing could move from one to the other.
        const commands = phases.map((d) => d.replace(/[^MLZ]/g, ''));
        expect(new Set(commands).size).toBe(1);
      }
      // At rest is where the moving one begins and passes.
      const rests = (part: string): string[] => [...part.matchAll(/ d="([^"]*)"/g)].map(([, d]) => d!);
      expect(rests(moving!)).toEqual(rests(still!));
      expect(textOf(one)).toMatch(
        /Swings [\d.]+ times a second; drawn \d+ times slower, and up to \d+ mm to either side, much more than in reality/,
      );
    }
    expect(html).toMatch(/prefers-reduced-motion: reduce[^]*\.moving/);
  });

  it('say whose stiffness is assumed, and only of a servo that has a part in one', () => {
    const measured = ['stiffness_nm_rad: unknown', 'stiffness_nm_rad: 12'] as const;
    const notes = (rig: Rig): string => textOf(/<section id="modes">[^]*?<\/section>/.exec(pageOf(rig).html)![0]);
    expect(notes(owl)).toMatch(/They depend on how stiff the servos are, which is assumed for neck/);
    const lidded = [
      'accel_deg_s2: 4000 }\nmotion',
      'accel_deg_s2: 4000, load: { mass_kg: 0.012, arm_mm: 14, inertia_kgm2: 4.0e-6 } }\nmotion',
    ] as const;
    expect(notes(rigFrom(OWL, measured, lidded))).toMatch(
      /Those that are not drawn depend on .* assumed for face, since/,
    );
    const all = rigFrom(OWL, measured, lidded, ['  face:\n', '  face:\n    stiffness_nm_rad: 2\n']);
    expect(notes(all)).not.toContain('assumed');
    expect(notes(rigFrom(LIFT))).toMatch(/assumed for ram, since the file does not say\.(?!.*Measure it)/);
  });

  it('what gravity topples does not swing: words, and no motion', () => {
    const toppled = rigFrom(
      TILT,
      ['at_mm: [50, 0, 0]', 'at_mm: [0, 0, 400]'],
      ['mass_kg: 0.9', 'mass_kg: 60'],
      ['    rotor_inertia', '    stiffness_nm_rad: 20\n    rotor_inertia'],
    );
    const { html } = pageOf(toppled);
    expect(faultsOf(html)).toEqual([]);
    expect(textOf(html)).toMatch(/not held against gravity: nod/);
    expect(/<section id="modes">[^]*?<\/section>/.exec(html)![0]).toMatch(/It does not spring back/);
  });
});

it('names of files and parts are text, whatever they hold', () => {
  const { html } = page('an owl that nods');
  expect(html).toContain('&lt;first&gt;.csv');
  expect(html).not.toContain('<first>');
});
