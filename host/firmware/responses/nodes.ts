/** What checking and rewriting a responses.ts begin with: the nodes of its syntax tree by their kinds, and its outline. */
import type { Compiler, Node } from './parse.ts';

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
export interface Import extends Node {
  readonly path: { readonly value: string };
  readonly declarations: readonly (Declaration & { readonly foreignName: Identifier })[] | null;
}
export interface Variables extends Node {
  readonly declarations: readonly Declaration[];
}
export interface Call extends Node {
  readonly expression: Node;
}
export interface Property extends Node {
  readonly expression: Node;
  readonly property: Identifier;
}
export interface Loop extends Node {
  readonly body: Node;
  readonly condition: Node | null;
  readonly incrementor?: Node | null;
}

/** What stands at the top of the file. */
export interface Outline {
  readonly functions: ReadonlyMap<string, FunctionNode>;
  /** Variables that stay from tick to tick, and constants. */
  readonly variables: ReadonlyMap<string, Declaration>;
  readonly constants: ReadonlyMap<string, Declaration>;
  readonly imported: ReadonlySet<string>;
  /** The statements that the variables are declared by. */
  readonly places: readonly Node[];
}

/** Whether the top of the file has this name already. */
export const isTaken = ({ functions, variables, constants, imported }: Outline, name: string): boolean =>
  functions.has(name) || variables.has(name) || constants.has(name) || imported.has(name);

/** Reads the nodes of one text. */
export abstract class NodeReader {
  protected readonly as: Compiler;
  protected readonly text: string;

  constructor(as: Compiler, text: string) {
    this.as = as;
    this.text = text;
  }

  protected kind(node: Node): string {
    return this.as.NodeKind[node.kind] ?? '';
  }

  /** Whether it is one of these operations on two values. */
  protected isOperation(node: Node, ...operators: readonly (keyof Compiler['Token'])[]): boolean {
    const { operator } = node as Node & { operator: number };
    return this.kind(node) === 'Binary' && operators.some((name) => this.as.Token[name] === operator);
  }

  /** The name of what is called; null: it has none of its own. */
  protected calleeOf({ expression }: Call): string | null {
    return this.kind(expression) === 'Identifier' ? (expression as Identifier).text : null;
  }
}
