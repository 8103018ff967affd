/** The template of responses for a rig: what needs an input or a joint that the rig does not have is there as a comment. */
import { nightPins } from '../rig/boards.ts';
import type { Rig } from '../rig/rig.ts';

/** Of the demo's files. */
export const TEMPLATE = 'responses/responses.ts';
/** Analog inputs that the template reads, in the order in which pins are given to them. */
const LEVELS = ['left', 'right', 'sound', 'light'];

/** The night's section of a rig file with as many of them as the rig's board has analog pins for; and their names. */
export function sensesFor({ board }: Rig): { readonly text: string; readonly levels: readonly string[] } {
  const taken = [board?.stop?.pin, board?.power_pin];
  const pins = nightPins(board?.kind ?? '')
    .analog.flatMap(([first, last]) => Array.from({ length: last - first + 1 }, (_, i) => first + i))
    .filter((pin) => !taken.includes(pin));
  const given = LEVELS.slice(0, pins.length).map((name, i) => `${name}: ${String(pins[i])}`);
  return {
    text: `night:\n  analog: { ${given.join(', ')} }   # what responses.ts reads, by names of your own; 0 to 3.3 V\n`,
    levels: LEVELS.slice(0, pins.length),
  };
}

/** The template for a rig with these analog inputs and joints after the legs: what it cannot do is commented out. */
export function responsesFor(template: string, levels: readonly string[], joints: readonly string[]): string {
  const has = { Level: levels, Value: [...joints, 'x', 'y', 'z', 'roll', 'pitch', 'yaw'] };
  const lacks = (text: string): string[] =>
    [...text.matchAll(/\b(Level|Value)\.(\w+)/g)]
      .filter(([, list, name]) => !has[list as keyof typeof has].includes(name!))
      .map(([, , name]) => name!);
  const out: string[] = [];
  let text = template;
  for (const block of template.split(/\n\n/)) {
    const name = /^function (\w+)/m.exec(block)?.[1];
    const missing = [...new Set(lacks(block))];
    if (name === undefined || missing.length === 0) continue;
    out.push(name);
    const lines = [`${missing.join(', ')}: this rig has none yet, so it is left out`, ...block.split('\n')];
    text = text.replace(block, lines.map((line) => `// ${line}`).join('\n'));
  }
  return out.reduce((all, name) => all.replace(`  ${name}();`, `  // ${name}();`), text);
}
