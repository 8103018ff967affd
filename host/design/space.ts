/**
 * The space that is searched: every figure that a want leaves free is one number from 0 to 1; a point of them is decoded to a design
 * whose sizes are in stock, or rounded to what a workshop makes. Figures with one size only take no number.
 */
import { toRad } from '../rig/rig.ts';
import type { AxisDesign, Design } from './design.ts';
import type { AxisChoice, Sizes, Want } from './want/want.ts';

/** A free figure of a design. */
export interface Gene {
  /** Its key in the want file, such as `stock.crank_mm`. */
  readonly path: string;
  /** What it can be: sizes in rising order; a choice between things that have none counts by place, and has no unit. */
  readonly sizes: Sizes;
  readonly unit: string | null;
}

export interface Space {
  readonly genes: readonly Gene[];
  /** @param x of each gene, from 0 to 1 */
  decode(x: ArrayLike<number>): Design;
}

/** What free sizes are rounded to: mm, degrees (given in rad), turns, kg. */
const STEP = { mm: 0.1, deg: 0.1, '': 0.01, kg: 0.01 } as const;
type Unit = keyof typeof STEP;

/** Takes numbers one by one, in the order in which the genes were named. */
type Take = (x: ArrayLike<number>) => number;

class Genes {
  readonly all: Gene[] = [];

  /** How to get a size from a point. */
  size(path: string, sizes: Sizes, unit: Unit): Take {
    if ('list' in sizes) return this.pick(path, sizes.list, { sizes, unit });
    const { lowest, highest } = sizes;
    const at = this.add({ path, sizes, unit });
    return (x) => rounded(lowest + (x[at] ?? 0) * (highest - lowest), sizes, unit);
  }

  /** One of a list. */
  pick<T>(path: string, list: readonly T[], sized?: Pick<Gene, 'sizes' | 'unit'>): (x: ArrayLike<number>) => T {
    const [first] = list;
    if (first === undefined) throw new Error(`${path} has nothing to choose from`);
    if (list.length === 1) return () => first;
    const at = this.add({ path, ...(sized ?? { sizes: { list: list.map((_, i) => i) }, unit: null }) });
    return (x) => list[Math.min(list.length - 1, Math.floor((x[at] ?? 0) * list.length))] ?? first;
  }

  private add(gene: Gene): number {
    return this.all.push(gene) - 1;
  }
}

/** To the workshop's step, and back into the range. */
function rounded(
  value: number,
  { lowest, highest }: { readonly lowest: number; readonly highest: number },
  unit: Unit,
): number {
  const one = unit === 'deg' ? toRad(1) : 1;
  const steps = Math.round(value / one / STEP[unit]);
  const near = Number((steps * STEP[unit]).toFixed(2)) * one;
  return near < lowest ? lowest : near > highest ? highest : near;
}

export function spaceOf({ base, stock, leg_servos, axes }: Want): Space {
  const genes = new Genes();
  const ring = (plate: 'base' | 'plate') => {
    // What stays as given is not read: any size does.
    const kept = stock.keep.includes(plate);
    const any: Sizes = { list: [1] };
    return {
      radius: genes.size(`stock.${plate}_radius_mm`, kept ? any : stock[`${plate}_radius_mm`], 'mm'),
      half: genes.size(`stock.${plate}_half_angle_deg`, kept ? any : stock[`${plate}_half_rad`], 'deg'),
    };
  };
  const [bases, plates] = [ring('base'), ring('plate')];
  const crank = stock.crank_mm && genes.size('stock.crank_mm', stock.crank_mm, 'mm');
  const rod = stock.rod_mm && genes.size('stock.rod_mm', stock.rod_mm, 'mm');
  const stroke = stock.stroke_mm && genes.pick('stock.stroke_mm', stock.stroke_mm);
  const home = stock.home_z_mm && genes.size('stock.home_z_mm', stock.home_z_mm, 'mm');
  const facing = genes.pick('stock.crank_azimuth', stock.facing);
  const limit = stock.limit_rad && genes.size('stock.limit_deg', stock.limit_rad, 'deg');
  const servo = genes.pick('servos', leg_servos.length > 0 ? leg_servos : [-1]);
  const others = axes.map((axis) => axisGenes(genes, axis));
  const given = base.platform?.drive === 'crank' ? base.platform : null;
  return {
    genes: genes.all,
    decode: (x) => {
      const most = limit?.(x) ?? null;
      return {
        base_radius_mm: bases.radius(x),
        base_half_rad: bases.half(x),
        plate_radius_mm: plates.radius(x),
        plate_half_rad: plates.half(x),
        crank_mm: crank?.(x) ?? given?.crank_mm ?? 0,
        rod_mm: rod?.(x) ?? given?.rod_mm ?? 0,
        stroke_mm: stroke?.(x) ?? null,
        home_z_mm: home?.(x) ?? null,
        facing: facing(x),
        servo: servo(x),
        limits: most === null ? null : [-most, most],
        axes: others.map((decode) => decode(x)),
      };
    },
  };
}

function axisGenes(
  genes: Genes,
  { joint, gear_ratio, counterweight, servos }: AxisChoice,
): (x: ArrayLike<number>) => AxisDesign {
  const at = (key: string): string => `axes.${joint}.${key}`;
  const ratio = gear_ratio && genes.size(at('gear_ratio'), gear_ratio, '');
  const kg = counterweight && genes.size(at('counterweight_kg'), counterweight.kg, 'kg');
  const away = counterweight && genes.size(at('counterweight_at_mm'), counterweight.at_mm, 'mm');
  const servo = genes.pick(at('servo'), servos.length > 0 ? servos : [-1]);
  return (x) => ({
    joint,
    gear_ratio: ratio?.(x) ?? null,
    counterweight: kg && away ? { kg: kg(x), at_mm: away(x) } : null,
    servo: servo(x),
  });
}
