/**
 * What a rig's responses.ts may not do, found before it is compiled: whatever is not on the lists of words.ts is refused, with its
 * line. Recursion too, since a board has no stack for it.
 */
import type { Named } from './senses.ts';
import { type Compiler, type Fault, type Node, children, lineAt, walk } from './parse.ts';
import { ALLOCATION, ALLOWED, BUILTINS, SENSES, TYPES, refusedKind, unknownName } from './words.ts';

export interface Identifier extends Node {
  readonly text: string;
}
export interface Declaration extends Node {
  readonly name: Identifier;
  readonly flags: number;
  readonly type: Node | null;
  readonly initializer: Node | null;
}
export interface FunctionNode extends Declaration {
  readonly body: Node | null;
  readonly signature: { readonly parameters: readonly Declaration[]; readonly returnType: Node } & Node;
}
interface Import extends Node {
  readonly path: { readonly value: string };
  readonly declarations: readonly (Declaration & { readonly foreignName: Identifier })[] | null;
}

/** The file's outline. */
export interface Outline {
  readonly functions: ReadonlyMap<string, FunctionNode>;
  /** Variables that stay from tick to tick, and constants. */
  readonly variables: ReadonlyMap<string, Declaration>;
  readonly constants: ReadonlyMap<string, Declaration>;
  /** The statements that the variables are declared by. */
  readonly places: readonly Node[];
}

/** Where a rig file declares what responses read. */
const WHERE: Readonly<Partial<Record<'Pin' | 'Level' | 'Value', string>>> = {
  Pin: '; the rig file declares it: night: inputs: { NAME: { pin: 18 } }',
  Level: '; the rig file declares it: night: analog: { NAME: 26 }',
};

const OURS = ['startResponses', 'RESPONDS'];
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

export class Checker {
  readonly faults: Fault[] = [];
  private readonly functions = new Map<string, FunctionNode>();
  private readonly variables = new Map<string, Declaration>();
  private readonly constants = new Map<string, Declaration>();
  private readonly places: Node[] = [];
  private readonly imported = new Set<string>();
  /** Names of the rig that are not there and have been told. */
  private readonly missing = new Set<string>();
  private readonly as: Compiler;
  private readonly text: string;
  private readonly named: Named;

  constructor(as: Compiler, text: string, named: Named) {
    this.as = as;
    this.text = text;
    this.named = named;
  }

  /** The outline; what is wrong is in `faults`. */
  check(statements: readonly Node[]): Outline {
    for (const statement of statements) this.top(statement);
    for (const fn of this.functions.values()) this.inside(fn);
    for (const declaration of [...this.variables.values(), ...this.constants.values()]) this.beginning(declaration);
    this.respond();
    this.circles();
    this.faults.sort((a, b) => a.line - b.line);
    const { functions, variables, constants, places } = this;
    return { functions, variables, constants, places };
  }

  private say(node: Node, message: string): void {
    const line = lineAt(this.text, node.range.start);
    if (!this.faults.some((fault) => fault.line === line && fault.message === message))
      this.faults.push({ line, message });
  }

  private kind(node: Node): string {
    return this.as.NodeKind[node.kind] ?? '';
  }

  private is(node: Node, flag: 'Export' | 'Const'): boolean {
    return ((node as Declaration).flags & this.as.CommonFlags[flag]) !== 0;
  }

  /** A statement of the file itself. */
  private top(node: Node): void {
    const kind = this.kind(node);
    if (kind === 'Import') this.imports(node as Import);
    else if (kind === 'FunctionDeclaration') {
      const fn = node as FunctionNode;
      this.declare(fn.name, this.functions, fn);
      if (this.is(fn, 'Export') !== (fn.name.text === 'respond'))
        this.say(
          fn,
          fn.name.text === 'respond'
            ? 'respond is not exported; allowed: export function respond(): void'
            : `found an export, ${fn.name.text}; allowed: export function respond(): void alone`,
        );
    } else if (kind === 'Variable') {
      const { declarations } = node as Node & { declarations: readonly Declaration[] };
      if (declarations.some((one) => this.is(one, 'Export')))
        this.say(node, 'found an export; allowed: export function respond(): void alone');
      const isConstant = declarations.every((one) => this.is(one, 'Const'));
      if (!isConstant) this.places.push(node);
      for (const one of declarations) this.declare(one.name, isConstant ? this.constants : this.variables, one);
    } else if (kind === 'Expression' || kind === 'Empty' || /^(If|For|While|Do|Block|Switch)$/.test(kind))
      this.say(
        node,
        'found something to do outside of a function; allowed: in respond, or in a function that it calls',
      );
    else this.say(node, refusedKind(kind));
  }

  private declare<T extends Node>({ text, ...rest }: Identifier, where: Map<string, T>, node: T): void {
    const at = rest;
    if (text.startsWith('__') || OURS.includes(text) || text in BUILTINS || TYPES.includes(text))
      this.say(
        { ...at, kind: 0, range: node.range },
        `found the name ${text}; allowed: another, since this one is taken`,
      );
    if (this.functions.has(text) || this.variables.has(text) || this.constants.has(text) || this.imported.has(text))
      this.say(node, `found ${text} a second time; allowed: a name for each`);
    where.set(text, node);
  }

  private imports({ path, declarations, ...node }: Import): void {
    const at = node;
    const allowed =
      path.value === './senses' ? Object.keys(SENSES) : path.value === './named' ? Object.keys(this.named) : null;
    if (allowed === null) {
      this.say(at, `found an import of '${path.value}'; allowed: './senses' and './named'`);
      // Its names are not told again wherever they stand.
      for (const { name } of declarations ?? []) this.imported.add(name.text);
      return;
    }
    if (!declarations)
      this.say(
        at,
        `found an import of all of '${path.value}'; allowed: import { ${allowed[0]!} } from '${path.value}', by names`,
      );
    for (const { name, foreignName } of declarations ?? []) {
      if (!allowed.includes(foreignName.text))
        this.say(
          foreignName,
          `found ${foreignName.text}, which '${path.value}' does not have; allowed: ${allowed.join(', ')}`,
        );
      else if (name.text !== foreignName.text)
        this.say(name, `found another name for ${foreignName.text}; allowed: its own`);
      this.imported.add(name.text);
    }
  }

  /** All of a function. */
  private inside(fn: FunctionNode): void {
    const locals = new Set<string>();
    for (const node of walk(fn)) {
      const kind = this.kind(node);
      if (node !== fn && (kind === 'VariableDeclaration' || kind === 'Parameter')) {
        const { name } = node as Declaration;
        if (
          this.variables.has(name.text) ||
          this.constants.has(name.text) ||
          this.functions.has(name.text) ||
          this.imported.has(name.text)
        )
          this.say(node, `found ${name.text} a second time, here and at the top of the file; allowed: a name for each`);
        locals.add(name.text);
      }
      if (kind === 'FunctionDeclaration' && node !== fn) this.say(node, refusedKind('Function'));
      else if (!ALLOWED.includes(kind)) this.say(node, refusedKind(kind));
    }
    if (fn.body === null) this.say(fn, `${fn.name.text} has no body`);
    else if (this.kind(fn.body) !== 'Block') this.say(fn, `found ${fn.name.text} => …; allowed: a body in { }`);
    this.types(fn.signature);
    if (fn.body) this.uses(fn.body, locals);
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
    // What is not allowed has been told.
    if (!ALLOWED.includes(kind)) return;
    if (kind === 'NamedType') return this.types(node);
    if (kind === 'PropertyAccess')
      return this.property(node as Node & { expression: Node; property: Identifier }, locals);
    if (kind === 'Call') return this.call(node as Node & { expression: Node }, locals);
    if (kind === 'Identifier') return this.name(node as Identifier, locals);
    if (kind === 'Literal') this.literal(node);
    if (
      kind === 'Binary' &&
      [this.as.Token.Asterisk_Asterisk, this.as.Token.Asterisk_Asterisk_Equals].includes(
        (node as Node & { operator: number }).operator,
      )
    )
      this.say(node, 'found **, which computes in doubles; allowed: a product');
    if (kind === 'VariableDeclaration') {
      const { type, initializer } = node as Declaration;
      if (type) this.types(type);
      if (initializer) this.uses(initializer, locals);
      return;
    }
    if (kind === 'Break' || kind === 'Continue') return;
    for (const child of children(node)) this.uses(child, locals);
  }

  private name({ text, ...node }: Identifier, locals: ReadonlySet<string>): void {
    if (this.functions.has(text) || text in SENSES || text in BUILTINS || TYPES.includes(text))
      this.say(node, `found ${text} without (); allowed: to call it`);
    else if (!(locals.has(text) || this.variables.has(text) || this.constants.has(text) || this.imported.has(text)))
      this.say(node, unknownName(text));
  }

  private call(node: Node & { expression: Node }, locals: ReadonlySet<string>): void {
    const { expression } = node;
    const callee = this.kind(expression) === 'Identifier' ? (expression as Identifier).text : null;
    if (callee === null) {
      if (this.kind(expression) === 'PropertyAccess') this.uses(expression, locals);
      this.say(node, 'found a call of what has no name of its own; allowed: functions by their names');
    }
    if (
      callee !== null &&
      !(this.functions.has(callee) || callee in BUILTINS || TYPES.includes(callee) || this.imported.has(callee))
    )
      this.say(node, unknownName(callee));
    for (const child of children(node)) if (child !== expression) this.uses(child, locals);
  }

  private property(
    { expression, property, ...node }: Node & { expression: Node; property: Identifier },
    locals: ReadonlySet<string>,
  ): void {
    const owner = this.kind(expression) === 'Identifier' ? (expression as Identifier).text : '';
    const list = owner in this.named && this.imported.has(owner) ? this.named[owner as keyof Named] : null;
    if (list) {
      if (property.text in list) return;
      const what = { Pin: 'input', Level: 'analog input', Value: 'value' }[owner as keyof Named];
      const names = Object.keys(list);
      const missing = `${owner}.${property.text}`;
      // Once, however often it is read.
      if (this.missing.has(missing)) return;
      this.missing.add(missing);
      const where = WHERE[owner as keyof typeof WHERE]?.replace('NAME', property.text) ?? '';
      this.say(
        node,
        `found ${missing}, and this rig has no ${what} of that name; ${names.length > 0 ? `allowed: ${names.join(', ')}` : 'it has none'}${where}`,
      );
    } else if (!(TYPES.includes(owner) && /^(MIN|MAX)_VALUE$|^EPSILON$/.test(property.text)))
      if (owner !== '' && !locals.has(owner) && !this.imported.has(owner)) this.say(node, unknownName(owner));
      else this.say(node, `found .${property.text}; allowed: Pin, Level and Value, and limits such as f32.MAX_VALUE`);
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
    if (!type) this.say(declaration, `${name.text} does not say its type; allowed: ${name.text}: f32 = …`);
    if (!initializer) return;
    this.uses(initializer, new Set());
    const { Slash, Percent } = this.as.Token;
    for (const node of walk(initializer)) {
      const isDivision =
        this.kind(node) === 'Binary' && [Slash, Percent].includes((node as Node & { operator: number }).operator);
      const isVariable = this.kind(node) === 'Identifier' && this.variables.has((node as Identifier).text);
      if (isDivision || isVariable || !CONSTANT.includes(this.kind(node)))
        this.say(node, `${name.text} does not begin with a constant; allowed: numbers, other constants, + - *`);
    }
  }

  private respond(): void {
    const fn = this.functions.get('respond');
    const { parameters, returnType } = fn?.signature ?? {};
    const type = (returnType as (Node & { name?: { identifier: Identifier } }) | undefined)?.name?.identifier.text;
    if (!fn)
      this.faults.push({
        line: 1,
        message: 'there is no respond; allowed: export function respond(): void, which is called on every tick',
      });
    else if ((parameters?.length ?? 0) > 0 || type !== 'void')
      this.say(fn, 'respond takes nothing and gives nothing back; allowed: export function respond(): void');
  }

  /** Functions that come to call themselves. */
  private circles(): void {
    const calls = new Map([...this.functions].map(([name, fn]) => [name, this.called(fn)]));
    const reached = (from: string, seen = new Set<string>()): Set<string> => {
      for (const to of calls.get(from) ?? []) if (!seen.has(to)) reached(to, seen.add(to));
      return seen;
    };
    for (const [name, fn] of this.functions)
      if (reached(name).has(name))
        this.say(fn, `${name} comes to call itself; allowed: a loop, since a board has no stack for it`);
  }

  private called(fn: FunctionNode): string[] {
    const names: string[] = [];
    for (const node of walk(fn))
      if (this.kind(node) === 'Call') names.push(((node as Node & { expression: Node }).expression as Identifier).text);
    return names;
  }
}
