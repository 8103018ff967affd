/** Reads what stands at the top of a responses.ts: its functions, variables, constants and imports; and what may not stand there. */
import {
  type Declaration,
  type FunctionNode,
  type Import,
  NodeReader,
  type Outline,
  type Variables,
  isTaken,
} from './nodes.ts';
import type { Compiler, FaultList, Node } from './parse.ts';
import type { Named } from './senses.ts';
import { BUILTINS, SENSES, TYPES, refusedKind } from './words.ts';

/** Names that the rewritten file has for itself; others of its begin with __. */
const OURS = ['startResponses', 'RESPONDS'];
const ONE_EXPORT = 'allowed: export function respond(): void alone';

export class OutlineReader extends NodeReader {
  private readonly functions = new Map<string, FunctionNode>();
  private readonly variables = new Map<string, Declaration>();
  private readonly constants = new Map<string, Declaration>();
  private readonly imported = new Set<string>();
  private readonly places: Node[] = [];
  private readonly named: Named;
  private readonly faults: FaultList;

  constructor(as: Compiler, text: string, named: Named, faults: FaultList) {
    super(as, text);
    this.named = named;
    this.faults = faults;
  }

  read(statements: readonly Node[]): Outline {
    for (const statement of statements) this.statement(statement);
    return this.outline;
  }

  private get outline(): Outline {
    const { functions, variables, constants, imported, places } = this;
    return { functions, variables, constants, imported, places };
  }

  private is(node: Declaration, flag: 'Export' | 'Const'): boolean {
    return (node.flags & this.as.CommonFlags[flag]) !== 0;
  }

  private statement(node: Node): void {
    const kind = this.kind(node);
    if (kind === 'Import') this.imports(node as Import);
    else if (kind === 'FunctionDeclaration') this.declareFunction(node as FunctionNode);
    else if (kind === 'Variable') this.declareVariables(node as Variables);
    else if (/^(Expression|Empty|If|For|While|Do|Block|Switch)$/.test(kind))
      this.faults.say(
        node,
        'found something to do outside of a function; allowed: in respond, or in a function that it calls',
      );
    else this.faults.say(node, refusedKind(kind));
  }

  private declareFunction(fn: FunctionNode): void {
    const { text } = fn.name;
    this.declare(text, this.functions, fn);
    const isExport = this.is(fn, 'Export');
    if (text === 'respond' && !isExport)
      this.faults.say(fn, 'respond is not exported; allowed: export function respond(): void');
    else if (text !== 'respond' && isExport) this.faults.say(fn, `found an export, ${text}; ${ONE_EXPORT}`);
  }

  private declareVariables(node: Variables): void {
    const { declarations } = node;
    if (declarations.some((one) => this.is(one, 'Export'))) this.faults.say(node, `found an export; ${ONE_EXPORT}`);
    const isConstant = declarations.every((one) => this.is(one, 'Const'));
    if (!isConstant) this.places.push(node);
    for (const one of declarations) this.declare(one.name.text, isConstant ? this.constants : this.variables, one);
  }

  private declare<T extends Node>(name: string, where: Map<string, T>, node: T): void {
    if (name.startsWith('__') || OURS.includes(name) || name in BUILTINS || TYPES.includes(name))
      this.faults.say(node, `found the name ${name}; allowed: another, since this one is taken`);
    if (isTaken(this.outline, name)) this.faults.say(node, `found ${name} a second time; allowed: a name for each`);
    where.set(name, node);
  }

  private imports(node: Import): void {
    const { path, declarations } = node;
    const allowed =
      path.value === './senses' ? Object.keys(SENSES) : path.value === './named' ? Object.keys(this.named) : null;
    // Where all of it is refused its names are not told again wherever they stand.
    for (const { name } of declarations ?? []) this.imported.add(name.text);
    if (allowed === null)
      this.faults.say(node, `found an import of '${path.value}'; allowed: './senses' and './named'`);
    else if (!declarations)
      this.faults.say(
        node,
        `found an import of all of '${path.value}'; allowed: import { ${allowed[0]!} } from '${path.value}', by names`,
      );
    else for (const one of declarations) this.importedName(one, path.value, allowed);
  }

  private importedName(
    { name, foreignName }: NonNullable<Import['declarations']>[number],
    path: string,
    allowed: readonly string[],
  ): void {
    if (!allowed.includes(foreignName.text))
      this.faults.say(
        foreignName,
        `found ${foreignName.text}, which '${path}' does not have; allowed: ${allowed.join(', ')}`,
      );
    else if (name.text !== foreignName.text)
      this.faults.say(name, `found another name for ${foreignName.text}; allowed: its own`);
  }
}
