/** `balance`: centre of mass of a part along an axis, with one end on a scale. */
import { balanced } from './formulas.ts';
import { type Measurement, type Outcome, type Readings, type Refused, type Subject, refused } from './measurement.ts';
import { propagate } from './propagate.ts';
import { MASS, axisIndex, massOf, plainPart } from './subjects.ts';

export const BALANCE: Measurement = {
  what: 'balance',
  summary: 'centre of mass of a part along an axis: one end on an edge, the other on a scale',
  how: 'The part off the prop, the axis level, resting on an edge at one end and on an edge upon the scale at the other. Without a scale: find where it balances on one edge, and give that as --edge-mm alone.',
  source: 'moments about the edge (the reaction board of biomechanics)',
  caution: 'Caution: block the part on both sides, so that it cannot roll off its edges.',
  of: [['part', 'axis']],
  readings: [
    {
      name: 'edge-mm',
      says: "the edge's place along the axis, in the frame that the part's at_mm is in",
      tool: 'ruler',
      least: -10_000,
      most: 10_000,
    },
    {
      name: 'span-mm',
      says: 'from the edge to the one on the scale, negative toward minus',
      tool: 'ruler',
      least: -10_000,
      most: 10_000,
      optional: true,
    },
    { name: 'scale-kg', says: 'the scale', tool: 'scale', least: 0, most: 500, optional: true },
    MASS,
  ],
  work,
};

function work(subject: Subject, readings: Readings): Outcome | Refused {
  const place = plainPart(subject);
  if ('problem' in place) return place;
  const { part, index } = place;
  const [edge, span, scale] = [readings.must('edge-mm'), readings.may('span-mm'), readings.may('scale-kg')];
  if (!span !== !scale)
    return refused(span ? '--scale-kg' : '--span-mm', 'is missing: span and scale go together, or neither is given');
  let centre = edge;
  if (span && scale) {
    const mass = massOf(readings, `parts.${part.name}.mass_kg`, part.mass_kg);
    if ('problem' in mass) return mass;
    if (span.value === 0) return refused('--span-mm', 'is 0: the edge and the scale are two places');
    if (scale.value > mass.value)
      return refused(
        '--scale-kg',
        `${String(scale.value)} kg is more than the whole weighs, ${String(mass.value)} kg: the edge bears a share of it`,
      );
    centre = propagate((at, by) => at + by, edge, balanced(span, scale, mass));
  }
  const at = axisIndex(subject);
  const axis = subject.axis ?? '';
  const value = Math.round(centre.value * 10) / 10;
  return {
    found: [{ what: `centre of mass, ${axis}`, unit: 'mm', ...centre }],
    words: [
      'a place is three plain numbers in the rig file: where it comes from and its tolerance are told here alone',
    ],
    changes: [{ path: ['parts', index, 'at_mm', at], to: value }],
  };
}
