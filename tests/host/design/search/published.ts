/**
 * Test functions of the literature, in the unit cube: their optima and fronts are known from elsewhere. ZDT and DTLZ are
 * written from memory of their papers; their fronts follow from what is written.
 */
import type { Problem } from '../../../../host/design/search/problem.ts';

/** In the source's own units, each number between its bounds. */
interface Given {
  readonly bounds: readonly (readonly [number, number])[];
  readonly objectives: number;
  readonly constraints: number;
  /** The objectives, then what must not be above 0. */
  readonly values: (x: Float64Array) => readonly number[];
}

/** A problem of the unit cube; `own` is a point of it in the source's units, which `values` takes. */
export interface Published extends Problem {
  readonly own: (x: Float64Array) => Float64Array;
  readonly values: Given['values'];
}

function published({ bounds, objectives, constraints, values }: Given): Published {
  const own = (x: Float64Array): Float64Array =>
    x.map((value, i) => bounds[i]![0] + value * (bounds[i]![1] - bounds[i]![0]));
  return {
    dims: bounds.length,
    objectives,
    constraints,
    own,
    values,
    evaluate: (x, out, at) => {
      values(own(x)).forEach((value, i) => (out[at + i] = i < objectives ? value : !(value <= 0) ? value : 0));
    },
  };
}

const unit = (count: number): [number, number][] => Array.from({ length: count }, () => [0, 1]);

/**
 * The welded beam of Ragsdell and Phillips (J. Eng. Industry 98, 1976) as Cagnina, Esquivel and Coello Coello state it
 * ("Solving engineering optimization problems with the simple constrained particle swarm optimizer", Informatica 32, 2008,
 * 319–326); best known 1.724852 at (0.205730, 3.470489, 9.036624, 0.205730). Limits are scaled by their own size.
 */
export const WELDED_BEAM = published({
  bounds: [
    [0.1, 2],
    [0.1, 10],
    [0.1, 10],
    [0.1, 2],
  ],
  objectives: 1,
  constraints: 7,
  values: (x) => {
    const [h, l, t, b] = [...x] as [number, number, number, number];
    const [P, L, E, G] = [6000, 14, 30e6, 12e6];
    const radius = Math.sqrt(l ** 2 / 4 + ((h + t) / 2) ** 2);
    const polar = 2 * Math.SQRT2 * h * l * (l ** 2 / 12 + ((h + t) / 2) ** 2);
    const [direct, bending] = [P / (Math.SQRT2 * h * l), (P * (L + l / 2) * radius) / polar];
    const shear = Math.sqrt(direct ** 2 + (direct * bending * l) / radius + bending ** 2);
    const stress = (6 * P * L) / (b * t ** 2);
    const deflection = (4 * P * L ** 3) / (E * t ** 3 * b);
    const buckling =
      ((4.013 * E * Math.sqrt((t ** 2 * b ** 6) / 36)) / L ** 2) * (1 - (t / (2 * L)) * Math.sqrt(E / (4 * G)));
    return [
      1.10471 * h ** 2 * l + 0.04811 * t * b * (14 + l),
      shear / 13_600 - 1,
      stress / 30_000 - 1,
      h - b,
      (0.10471 * h ** 2 + 0.04811 * t * b * (14 + l)) / 5 - 1,
      0.125 - h,
      deflection / 0.25 - 1,
      P / buckling - 1,
    ];
  },
});
export const WELDED_BEAM_BEST = { value: 1.724852, at: [0.20573, 3.470489, 9.036624, 0.20573] };

/**
 * The pressure vessel of Sandgren (J. Mech. Design 112, 1990): both thicknesses in steps of 1/16 inch, as plates are sold.
 * Its optimum is proved to be 6059.714335048436 (Yang, Huyck, Karamanoglu and Khan, "True global optimality of the
 * pressure vessel design problem", Int. J. Bio-Inspired Computation 5, 2013, 329–335), at (0.8125, 0.4375, 42.0984456,
 * 176.6365958).
 */
export const PRESSURE_VESSEL = published({
  bounds: [
    [1, 99],
    [1, 99],
    [10, 200],
    [10, 200],
  ],
  objectives: 1,
  constraints: 3,
  values: (x) => {
    const [shell, head] = [Math.round(x[0]!) / 16, Math.round(x[1]!) / 16];
    const [radius, length] = [x[2]!, x[3]!];
    return [
      0.6224 * shell * radius * length +
        1.7781 * head * radius ** 2 +
        3.1661 * shell ** 2 * length +
        19.84 * shell ** 2 * radius,
      0.0193 * radius - shell,
      0.00954 * radius - head,
      1 - (Math.PI * radius ** 2 * length + (4 / 3) * Math.PI * radius ** 3) / 1_296_000,
    ];
  },
});
export const PRESSURE_VESSEL_BEST = { value: 6059.714335048436, at: [13, 7, 42.0984456, 176.6365958] };

/**
 * ZDT1 and ZDT2 (Zitzler, Deb and Thiele, "Comparison of multiobjective evolutionary algorithms", Evol. Comp. 8, 2000):
 * fronts f₂ = 1 − √f₁ and f₂ = 1 − f₁².
 */
const zdt = (dims: number, shape: (ratio: number) => number): Published =>
  published({
    bounds: unit(dims),
    objectives: 2,
    constraints: 0,
    values: (x) => {
      const g = 1 + (9 * x.slice(1).reduce((sum, value) => sum + value, 0)) / (dims - 1);
      return [x[0]!, g * (1 - shape(x[0]! / g))];
    },
  });
export const ZDT1 = zdt(10, Math.sqrt);
export const ZDT2 = zdt(10, (ratio) => ratio * ratio);

/**
 * DTLZ2 with three objectives (Deb, Thiele, Laumanns and Zitzler, "Scalable multi-objective optimization test problems",
 * CEC 2002): its front is the sphere's eighth.
 */
export const DTLZ2 = published({
  bounds: unit(8),
  objectives: 3,
  constraints: 0,
  values: (x) => {
    const g = x.slice(2).reduce((sum, value) => sum + (value - 0.5) ** 2, 0);
    const [a, b] = [(x[0]! * Math.PI) / 2, (x[1]! * Math.PI) / 2];
    return [(1 + g) * Math.cos(a) * Math.cos(b), (1 + g) * Math.cos(a) * Math.sin(b), (1 + g) * Math.sin(a)];
  },
});

/**
 * Srinivas and Deb's constrained problem ("Multiobjective optimization using nondominated sorting in genetic algorithms",
 * Evol. Comp. 2, 1994), known as SRN, from memory: most of its front has x₁ = −2.5, which its algebra shows too.
 */
export const SRN = published({
  bounds: [
    [-20, 20],
    [-20, 20],
  ],
  objectives: 2,
  constraints: 2,
  values: ([a, b]) => [
    2 + (a! - 2) ** 2 + (b! - 1) ** 2,
    9 * a! - (b! - 1) ** 2,
    (a! ** 2 + b! ** 2) / 225 - 1,
    (a! - 3 * b! + 10) / 10,
  ],
});
