/** Numbers that a person types: what is one, and in words why not. */
import { short } from '../../rig/words.ts';

export interface Allowed {
  readonly least: number;
  readonly most: number;
}

const UNITS = { deg: 'degrees', mm: 'mm', us: 'µs' } as const;

/** `-3.5`, `+3.5 deg`, `3,5`: the number, where it is within what is allowed. */
export function numberIn(
  text: string,
  unit: keyof typeof UNITS | null,
  { least, most }: Allowed,
): number | { readonly problem: string } {
  const said = text.trim();
  const right = `a number ${unit ? `of ${UNITS[unit]} ` : ''}from ${short(least)} to ${short(most)} is right`;
  const bare = said.replace(/\s*(deg|degrees|°|mm|us|µs)$/i, '').replace(',', '.');
  if (said === '') return { problem: `Nothing was typed; ${right}` };
  const value = /^[+-]?(\d+\.?\d*|\.\d+)$/.test(bare) ? Number(bare) : NaN;
  if (!Number.isFinite(value)) return { problem: `"${said.slice(0, 40)}" is no number; ${right}` };
  return value >= least && value <= most ? value : { problem: `${short(value)} cannot be; ${right}` };
}
