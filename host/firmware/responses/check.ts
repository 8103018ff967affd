/**
 * What a rig's responses.ts may not do, found before it is compiled: whatever is not on the lists of words.ts is refused, with its
 * line. Recursion too, since a board has no stack for it.
 */
import {
  type Call,
  type Declaration,
  type FunctionNode,
  type Identifier,
  NodeReader,
  type Outline,
  type Property,
  isTaken,
} from './nodes.ts';
import { OutlineReader } from './outline.ts';
import { type Compiler, type Fault, FaultList, type Node, children, walk } from './parse.ts';
import type { Named } from './senses.ts';
import { ALLOCATION, ALLOWED, BUILTINS, SENSES, TYPES, refusedKind, unknownName } from './words.ts';

/** Where a rig file declares what responses read. */
const WHERE: Readonly<Partial<Record<keyof Named, string>>> = {
  Pin: '; the rig file declares it: night: inputs: { NAME: { pin: 18 } }',
  Level: '; the rig file declares it: night: analog: { NAME: 26 }',
};
/** In a constant's or a variable's beginning nothing may be able to fail: there is nobody yet to report it. */
const CONSTANT = [
  'Literal',
  'UnaryPrefix',
  'Parenthesized',
  'Identifier',
  'PropertyAccess',
  'True',
  'False',
  'NamedType',
  'TypeName',
  'Binary',
];
/** Limits of a type. */
const LIMIT = /^(MIN|MAX)_VALUE$|^EPSILON$/;

class Checker extends NodeReader {
  private readonly outline: Outline;
  /** Names of the rig that are not there and have been told. */
  private readonly missing = new Set<string>();
  private readonly named: Named;
  private readonly faults: FaultList;

  constructor(as: Compiler, text: string, outline: Outline, named: Named, faults: FaultList) {
    super(as, text);
    this.outline = outline;
    this.named = named;
    this.faults = faults;
  }

  check(): void {
    const { functions, variables, constants } = this.outline;
    for (const fn of functions.values()) this.inside(fn);
    for (const declaration of [...variables.values(), ...constants.values()]) this.beginning(declaration);
    this.respond();
    this.circles();
  }

  private say(node: Node, message: string): void {
    this.faults.say(node, message);
  }

  /** All of a function. */
  private inside(fn: FunctionNode): void {
    const locals = new Set<string>();
    for (const node of walk(fn)) {
      const kind = this.kind(node);
      if (node !== fn && (kind === 'VariableDeclaration' || kind === 'Parameter'))
        locals.add(this.local(node as Declaration));
      if (kind === 'FunctionDeclaration' && node !== fn) this.say(node, refusedKind('Function'));
      else if (!ALLOWED.includes(kind)) this.say(node, refusedKind(kind));
    }
    if (fn.body === null) this.say(fn, `${fn.name.text} has no body`);
    else if (this.kind(fn.body) !== 'Block') this.say(fn, `found ${fn.name.text} => …; allowed: a body in { }`);
    this.types(fn.signature);
    if (fn.body) this.uses(fn.body, locals);
  }

  /** The name that a function declares for itself. */
  private local(node: Declaration): string {
    const { text } = node.name;
    if (isTaken(this.outline, text))
      this.say(node, `found ${text} a second time, here and at the top of the file; allowed: a name for each`);
    return text;
  }

  private types(node: Node): void {
    for (const one of walk(node)) {
      if (this.kind(one) !== 'TypeName') continue;
      const { text } = (one as Node & { identifier: Identifier }).identifier;
      if (!TYPES.includes(text)) this.say(one, unknownName(text));
    }
  }

  /** Names that are used, literals and operators. */
  private uses(node: Node, locals: ReadonlySet<string>): void {
    const kind = this.kind(node);
    // What is not allowed has been told; where a jump goes is the compiler's affair.
    if (!ALLOWED.includes(kind) || kind === 'Break' || kind === 'Continue') return;
    if (kind === 'NamedType') this.types(node);
    else if (kind === 'PropertyAccess') this.property(node as Property, locals);
    else if (kind === 'Call') this.call(node as Call, locals);
    else if (kind === 'Identifier') this.name(node as Identifier, locals);
    else if (kind === 'VariableDeclaration') {
      const { type, initializer } = node as Declaration;
      if (type) this.types(type);
      if (initializer) this.uses(initializer, locals);
    } else {
      if (kind === 'Literal') this.literal(node);
      if (this.isOperation(node, 'Asterisk_Asterisk', 'Asterisk_Asterisk_Equals'))
        this.say(node, 'found **, which computes in doubles; allowed: a product');
      for (const child of children(node)) this.uses(child, locals);
    }
  }

  private name(node: Identifier, locals: ReadonlySet<string>): void {
    const { text } = node;
    if (this.outline.functions.has(text) || text in SENSES || text in BUILTINS || TYPES.includes(text))
      this.say(node, `found ${text} without (); allowed: to call it`);
    else if (!locals.has(text) && !isTaken(this.outline, text)) this.say(node, unknownName(text));
  }

  private call(node: Call, locals: ReadonlySet<string>): void {
    const { functions, imported } = this.outline;
    const { expression } = node;
    const callee = this.calleeOf(node);
    if (callee === null) {
      if (this.kind(expression) === 'PropertyAccess') this.uses(expression, locals);
      this.say(node, 'found a call of what has no name of its own; allowed: functions by their names');
    } else if (!(functions.has(callee) || callee in BUILTINS || TYPES.includes(callee) || imported.has(callee)))
      this.say(node, unknownName(callee));
    for (const child of children(node)) if (child !== expression) this.uses(child, locals);
  }

  private property(node: Property, locals: ReadonlySet<string>): void {
    const { imported } = this.outline;
    const { expression, property } = node;
    const owner = this.kind(expression) === 'Identifier' ? (expression as Identifier).text : '';
    if (owner in this.named && imported.has(owner)) this.member(node, owner as keyof Named, property.text);
    else if (TYPES.includes(owner) && LIMIT.test(property.text)) return;
    else if (owner !== '' && !locals.has(owner) && !imported.has(owner)) this.say(node, unknownName(owner));
    else this.say(node, `found .${property.text}; allowed: Pin, Level and Value, and limits such as f32.MAX_VALUE`);
  }

  /** A member of one of the rig's lists; one that is missing is told once, however often it is read. */
  private member(node: Property, list: keyof Named, name: string): void {
    const missing = `${list}.${name}`;
    if (name in this.named[list] || this.missing.has(missing)) return;
    this.missing.add(missing);
    const what = { Pin: 'input', Level: 'analog input', Value: 'value' }[list];
    const names = Object.keys(this.named[list]);
    const allowed = names.length > 0 ? `allowed: ${names.join(', ')}` : 'it has none';
    const where = WHERE[list]?.replace('NAME', name) ?? '';
    this.say(node, `found ${missing}, and this rig has no ${what} of that name; ${allowed}${where}`);
  }

  private literal(node: Node): void {
    const { Float, Integer, String, Template } = this.as.LiteralKind;
    const { literalKind } = node as Node & { literalKind: number };
    if (literalKind === Float || literalKind === Integer) return;
    const what = literalKind === String || literalKind === Template ? 'a text' : 'a list or an object';
    this.say(node, `found ${what}; ${ALLOCATION}`);
  }

  /** How a variable or a constant of the file begins. */
  private beginning(declaration: Declaration): void {
    const { name, type, initializer } = declaration;
    if (type) this.types(type);
    else this.say(declaration, `${name.text} does not say its type; allowed: ${name.text}: f32 = …`);
    if (!initializer) return;
    this.uses(initializer, new Set());
    for (const node of walk(initializer)) {
      const isDivision = this.isOperation(node, 'Slash', 'Percent');
      const isVariable = this.kind(node) === 'Identifier' && this.outline.variables.has((node as Identifier).text);
      if (isDivision || isVariable || !CONSTANT.includes(this.kind(node)))
        this.say(node, `${name.text} does not begin with a constant; allowed: numbers, other constants, + - *`);
    }
  }

  private respond(): void {
    const fn = this.outline.functions.get('respond');
    const { parameters, returnType } = fn?.signature ?? {};
    const type = (returnType as (Node & { name?: { identifier: Identifier } }) | undefined)?.name?.identifier.text;
    if (!fn)
      this.faults.all.push({
        line: 1,
        message: 'there is no respond; allowed: export function respond(): void, which is called on every tick',
      });
    else if ((parameters?.length ?? 0) > 0 || type !== 'void')
      this.say(fn, 'respond takes nothing and gives nothing back; allowed: export function respond(): void');
  }

  /** Functions that come to call themselves. */
  private circles(): void {
    const { functions } = this.outline;
    const calls = new Map([...functions].map(([name, fn]) => [name, this.called(fn)]));
    const reached = (from: string, seen = new Set<string>()): Set<string> => {
      for (const to of calls.get(from) ?? []) if (!seen.has(to)) reached(to, seen.add(to));
      return seen;
    };
    for (const [name, fn] of functions)
      if (reached(name).has(name))
        this.say(fn, `${name} comes to call itself; allowed: a loop, since a board has no stack for it`);
  }

  private called(fn: FunctionNode): string[] {
    return [...walk(fn)].flatMap((node) => (this.kind(node) === 'Call' ? (this.calleeOf(node as Call) ?? []) : []));
  }
}

/** The file's outline, and all that is wrong with it, by line; where anything is, the outline is not to be relied on. */
export function check(
  as: Compiler,
  text: string,
  named: Named,
  statements: readonly Node[],
): { readonly outline: Outline; readonly faults: readonly Fault[] } {
  const faults = new FaultList(text);
  const outline = new OutlineReader(as, text, named, faults).read(statements);
  new Checker(as, text, outline, named, faults).check();
  return { outline, faults: faults.all.sort((a, b) => a.line - b.line) };
}
