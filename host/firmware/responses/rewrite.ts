/**
 * Turns a checked responses.ts into what stands in assembly/responses.ts: fuel is written in at the beginning of every function and
 * every turn of a loop, the file's variables go into the controller's static memory (so that a start begins them anew, and a copy of
 * the memory has them), and numbers with a point are f32. No line moves.
 */
import { type Call, type Declaration, type Identifier, type Loop, NodeReader, type Outline } from './nodes.ts';
import { type Compiler, type Node, children, walk } from './parse.ts';
import { BUILTINS, SENSES, TYPES } from './words.ts';

/** The text from `from` to `to` becomes `text`; behind what stands there already. */
interface Edit {
  readonly from: number;
  readonly to: number;
  readonly text: string;
}

/** Fuel of an operation; of a quotient, of a remainder (on f32 a loop over 254 bits at most), of a call beside what it calls. */
const OPERATION = 1;
const QUOTIENT = 4;
const REMAINDER = 40;
const CALL = 2;

const KEPT = '__kept()';

class Rewriter extends NodeReader {
  private readonly edits: Edit[] = [];
  private readonly outline: Outline;

  constructor(as: Compiler, text: string, outline: Outline) {
    super(as, text);
    this.outline = outline;
  }

  source(): string {
    const { functions, variables, constants, places } = this.outline;
    for (const fn of functions.values()) if (fn.body) this.block(fn.body, fn.body);
    for (const constant of constants.values()) if (constant.initializer) this.values(constant.initializer);
    for (const { range } of places)
      this.edits.push({
        from: range.start,
        to: range.end,
        text: this.text.slice(range.start, range.end).replace(/[^\n]/g, ' '),
      });
    return `import { burn as __burn } from './fuel'; ${this.edited()}\n${begin(this.text, [...variables.values()])}`;
  }

  /** A body that burns as a whole: a function's, or a loop's with what the loop does at each turn. */
  private block(body: Node, ...parts: readonly Node[]): void {
    const fuel = Math.max(
      1,
      parts.reduce((sum, part) => sum + this.fuel(part), 0),
    );
    const burn = `__burn(${String(fuel)});`;
    const { start, end } = body.range;
    if (this.kind(body) === 'Block') this.edits.push({ from: start + 1, to: start + 1, text: burn });
    else this.edits.push({ from: start, to: start, text: `{${burn}` }, { from: end, to: end, text: `;}` });
    this.inside(body);
  }

  /** Loops and names in what has burnt already. */
  private inside(node: Node): void {
    const kind = this.kind(node);
    if (kind === 'For' || kind === 'While' || kind === 'Do') {
      const loop = node as Loop;
      for (const child of children(loop)) if (child !== loop.body) this.inside(child);
      this.block(loop.body, loop.body, ...[loop.condition, loop.incrementor ?? null].filter((part) => part !== null));
    } else if (kind === 'Identifier' || kind === 'Literal') this.value(node);
    else if (kind === 'VariableDeclaration') {
      const { initializer } = node as Declaration;
      if (initializer) this.inside(initializer);
    } else if (kind === 'PropertyAccess' || kind === 'NamedType') return;
    else for (const child of children(node)) this.inside(child);
  }

  private values(node: Node): void {
    for (const one of walk(node)) this.value(one);
  }

  private value(node: Node): void {
    const { start, end } = node.range;
    if (this.kind(node) === 'Identifier') {
      const { text } = node as Identifier;
      if (this.outline.variables.has(text)) this.edits.push({ from: start, to: end, text: `${KEPT}.${text}` });
    } else if (
      this.kind(node) === 'Literal' &&
      (node as Node & { literalKind: number }).literalKind === this.as.LiteralKind.Float
    )
      this.edits.push({ from: start, to: end, text: `f32(${this.text.slice(start, end)})` });
  }

  /** Of all that a stretch may do once: a loop's turns burn for themselves, what is called too. Both sides of a choice count. */
  private fuel(node: Node): number {
    const kind = this.kind(node);
    if (kind === 'NamedType') return 0;
    const inLoop = /^(For|While|Do)$/.test(kind) ? (node as Loop).body : null;
    let fuel = this.own(node, kind);
    for (const child of children(node)) if (child !== inLoop) fuel += this.fuel(child);
    return fuel;
  }

  private own(node: Node, kind: string): number {
    if (this.isOperation(node, 'Slash', 'Slash_Equals')) return QUOTIENT;
    if (this.isOperation(node, 'Percent', 'Percent_Equals')) return REMAINDER;
    if (kind === 'Call') {
      const name = this.calleeOf(node as Call) ?? '';
      if (TYPES.includes(name)) return OPERATION;
      return BUILTINS[name] ?? CALL + (SENSES[name] ?? 0);
    }
    return /^(Binary|Unary|Ternary|If|Switch|VariableDeclaration|Return)/.test(kind) ? OPERATION : 0;
  }

  private edited(): string {
    let out = '';
    let at = 0;
    const sorted = this.edits
      .map((edit, order) => ({ ...edit, order }))
      .sort((a, b) => a.from - b.from || a.order - b.order);
    for (const { from, to, text } of sorted) {
      out += this.text.slice(at, from) + text;
      at = to;
    }
    return out + this.text.slice(at);
  }
}

/** Where the variables are, and how they begin. */
function begin(text: string, variables: readonly Declaration[]): string {
  const between = ({ range }: Node): string => text.slice(range.start, range.end);
  const start = variables
    .filter(({ initializer }) => initializer !== null)
    .map(({ name, type, initializer }) => `${KEPT}.${name.text} = <${between(type!)}>(${between(initializer!)});`);
  const zero = variables.length > 0 ? 'memory.fill(__KEPT, 0, offsetof<__Kept>());' : '';
  const kept = [
    `@unmanaged class __Kept { ${variables.map(({ name, type }) => `${name.text}: ${between(type!)};`).join(' ')} }`,
    'const __KEPT: usize = memory.data(i32(offsetof<__Kept>()));',
    '// @ts-ignore: decorator',
    '@inline function __kept(): __Kept { return changetype<__Kept>(__KEPT); }',
  ];
  return [
    'export const RESPONDS: bool = true;',
    ...(variables.length > 0 ? kept : []),
    `export function startResponses(): void { ${zero} ${start.join(' ')} }`,
    '',
  ].join('\n');
}

export const rewritten = (as: Compiler, text: string, outline: Outline): string =>
  new Rewriter(as, text, outline).source();
