/** The report as a document: whole, self-contained, every figure with its unit, and in the words of the verdict. */
import { describe, expect, it } from 'vitest';
import { renderReport } from '../../../host/report/report.ts';
import type { Replay } from '../../../host/replay/result.ts';
import { causeWords, willItBeSmooth } from '../../../host/replay/verdict.ts';
import { replayOf, rig, roughReplay } from './fixture.ts';
import { misnested } from './whole.ts';

describe.each([
  ['a replay that follows', (): Replay => replayOf(0.7)],
  ['a replay that does not', (): Replay => roughReplay()],
])('%s', (_, make) => {
  const replay = make();
  const html = renderReport(rig, replay);

  it('is one well-nested page below 600 kB that asks for nothing from outside', () => {
    expect(misnested(html)).toEqual([]);
    expect(html.length).toBeLessThan(600_000);
    expect(html).not.toMatch(/<script|<iframe|src=|url\(|@import|href="(?!#)/);
    expect(html.replaceAll('http://www.w3.org/2000/svg', '')).not.toMatch(/https?:/);
  });

  it('begins with the two questions and goes on in order', () => {
    const first = ['Can it get there?', 'Will it be smooth?'].map((words) => html.indexOf(words));
    const ids = ['verdict', 'worst', 'joints', 'pose', 'motion', 'timing', 'breaches', 'reading', 'rests', 'next'];
    const places = ids.map((id) => html.indexOf(` id="${id}"`));
    expect(first.every((at) => at > 0 && at < places[1]!)).toBe(true);
    expect(places.every((at) => at > 0)).toBe(true);
    expect(places).toEqual([...places].sort((a, b) => a - b));
  });

  it('gives every number in the table of joints its unit', () => {
    const table = html.slice(html.indexOf('<table'), html.indexOf('</table>'));
    const cells = [...table.matchAll(/class="(?:value|beside)">([^<]*)</g)].map(([, words]) => words ?? '');
    expect(cells.length).toBeGreaterThan(6 * rig.joints.length);
    const units = /[\d.\u202f]+\u00a0(?:deg\/s²|deg\/s|deg|ticks?|s|%)(?![\w/])/g;
    for (const words of cells) expect(words.replace(units, '')).not.toMatch(/\d/);
  });

  it('draws three charts for each joint and one for each pose component, in words too', () => {
    expect(html.match(/<svg class="chart"[^>]*role="img"/g)?.length).toBeGreaterThanOrEqual(3 * rig.joints.length + 7);
    for (const [svg] of html.matchAll(/<svg[^>]*>/g)) expect(svg).toMatch(/aria-(?:label="[^"]+"|hidden="true")/);
  });

  it('says the verdict of the command line', () => {
    expect(html).toContain(willItBeSmooth(replay.answer).word);
  });

  it('says what it was proven on and how to keep fingers', () => {
    expect(html).toContain('never on silicon');
    expect(html).toMatch(/power\s+cut-off/);
    expect(html).toContain('software is no safety device');
    expect(html).not.toMatch(/emergency stop/i);
  });

  it('sends nobody to a board that no command can reach yet', () => {
    expect(html).not.toMatch(/on the board itself|stand-in, then/);
  });

  it('shows no figure that is no number', () => {
    expect(html).not.toMatch(/NaN|Infinity|undefined/);
  });
});

it('marks what stops a pose with a ring and words, and nothing where it follows', () => {
  const rough = roughReplay();
  const stop = rough.traces.worst.stopped_by!;
  const html = renderReport(rig, rough);
  const picture = html.slice(html.indexOf('class="scene"'), html.indexOf('</figure>'));
  // A ring in the wide picture, one in the narrow, one in the key.
  expect(picture.match(/class="ring"/g)).toHaveLength(3);
  expect(picture).toContain(`>${stop.joint}: ${causeWords(stop.cause)}<`);
  expect(picture).toContain('class="was"');
  expect(renderReport(rig, replayOf(0.7))).not.toContain('class="ring"');
});

it('promises a ring only where one is drawn: the file may not tell where a face joint sits', () => {
  const replay = replayOf(0.7);
  const worst_joint = { name: 'lid', error: 44.7, past: 0, unit: 'deg' } as const;
  const worst = { ...replay.traces.worst, stopped_by: null, worst_joint };
  const page = (at_mm: [number, number, number] | null) => {
    const joints = rig.joints.map((joint) => (joint.name === 'lid' ? { ...joint, at_mm } : joint));
    return renderReport({ ...rig, joints }, { ...replay, traces: { ...replay.traces, worst } });
  };
  expect(page(null)).toContain('lid: 44.7');
  expect(page(null)).not.toContain('class="ring"');
  expect(page(null)).not.toContain('the joint that is behind');
  expect(page([-16, 0, 50]).match(/class="ring"/g)).toHaveLength(3);
  expect(page([-16, 0, 50])).toContain('the joint that is behind');
});

it('rings the joint that falls behind when nothing is out of reach', () => {
  const replay = replayOf(0.7);
  const worst = { ...replay.traces.worst, worst_joint: { name: 'nod', error: 4.25, past: 0, unit: 'deg' } as const };
  const html = renderReport(rig, { ...replay, traces: { ...replay.traces, worst } });
  expect(html).toContain('>nod: 4.25\u00a0deg behind<');
});

it('tells past from behind: in the picture, its caption and key, the table, the charts and what to do', () => {
  const replay = replayOf(0.7);
  const worst_joint = { name: 'nod', error: 4.5, past: 4.25, unit: 'deg' } as const;
  const worst = { ...replay.traces.worst, at_s: 3.25, worst_joint };
  const joints = replay.answer.joints.map((joint) =>
    joint.name === 'nod' ? { ...joint, peak_error: 4.5, past: 4.25, past_at_s: 3.25 } : joint,
  );
  const html = renderReport(rig, {
    answer: { ...replay.answer, joints },
    traces: { ...replay.traces, worst },
  }).replaceAll('\u00a0', ' ');
  expect(html).toContain('>nod: 4.25 deg past<');
  expect(html).toContain('nod is 4.25 deg past everything asked of it, and 4.50 deg from what is asked now.');
  expect(html).toContain('the joint that is past');
  expect(html).not.toContain('the joint that is behind');
  expect(html).toMatch(/>past<\/span><span class="value">4\.25 deg<\/span>\s*<span class="beside">at 3\.25 s/);
  expect(html).toMatch(/furthest past everything asked of it by 4\.25 deg at 3\.25 s/);
  expect(html).toMatch(/Past: nod overshoots/);
  expect(renderReport(rig, replay)).not.toMatch(/Past: nod|the joint that is past/);
});

it('says in words what it cannot draw', () => {
  const replay = replayOf(0.7);
  const face = rig.joints.slice(7);
  const { answer, traces } = replay;
  const worst = { ...traces.worst, delivered_pose: null, asked: [0, 0, 0], delivered: [0, 0, 0], worst_joint: null };
  const html = renderReport(
    { ...rig, platform: null, joints: face, parts: [] },
    {
      answer: { ...answer, joints: answer.joints.slice(7) },
      traces: { ...traces, joints: traces.joints.slice(7), worst },
    },
  );
  expect(html).toContain('every joint follows within tolerance');
  expect(html.replace(/\s+/g, ' ')).toContain('so there is no picture');
  expect(html).not.toContain('id="pose"');
});

it('draws what rounding leaves as standing still, its figures within the picture', () => {
  const replay = replayOf(0.7);
  const data = { bucket_s: 0.1, lo: Float64Array.of(-5e-6, 0), hi: Float64Array.of(0, 5e-6) };
  const traces = { ...replay.traces, pose: [{ key: 'z_mm', asked: data, delivered: data }] };
  const html = renderReport(rig, { ...replay, traces });
  const section = html.slice(html.indexOf('id="pose"'), html.indexOf('id="motion"'));
  const figures = [...section.matchAll(/<text[^>]*text-anchor="end"[^>]*>([^<]*)</g)].map(([, words]) => words);
  expect(figures).toEqual(['\u22120.04', '\u22120.02', '0.00', '0.02', '0.04']);
});

it('says beside a joint’s acceleration which limit fades, and of none that does not', () => {
  const replay = replayOf(0.7);
  const joints = replay.traces.joints.map((trace) =>
    trace.name === 'nod' ? { ...trace, limits: { ...trace.limits, plus_gone: 46 } } : trace,
  );
  const html = renderReport(rig, { ...replay, traces: { ...replay.traces, joints } });
  const captions = [...html.matchAll(/<figcaption>(The limits drawn[^<]*)</g)].map(([, words]) => words);
  expect(captions).toEqual(['The limits drawn are those at rest: plus falls with speed, to zero at 46\u00a0deg/s.']);
  expect(renderReport(rig, replay)).not.toContain('falls with speed');
});

it('escapes what came from files', () => {
  const replay = replayOf(0.7);
  const html = renderReport(
    { ...rig, name: '<b>owl</b>' },
    { ...replay, answer: { ...replay.answer, rig: '<b>owl</b>', stream: '"><i>' } },
  );
  expect(html).not.toContain('<b>owl');
  expect(html).not.toContain('"><i>');
});

it('says to look at a joint that is held back and falls behind, though the plate itself is where it should be', () => {
  const replay = replayOf(0.7);
  const joints = replay.answer.joints.map((joint, k) =>
    k === 6 ? { ...joint, limit_ticks: 20, peak_error: 2 } : joint,
  );
  const html = renderReport(rig, { ...replay, answer: { ...replay.answer, joints } });
  const next = html.slice(html.indexOf(' id="next"'));
  expect(next).toContain(`At its limits: look at ${joints[6]!.name} first`);
  expect(next).not.toContain('Nothing is out of limits');
});
