/** Reads AssemblyScript into the compiler's own syntax tree, and walks it. */

/** What is used of the compiler's nodes; by their kind they have more. Offsets are in UTF-16 units of the text. */
export interface Node {
  readonly kind: number;
  readonly range: { readonly start: number; readonly end: number };
}

/** Something in responses.ts that cannot be, in words, and on which line it stands. */
export interface Fault {
  readonly line: number;
  readonly message: string;
}

/** What is used of the compiler; its own types name their enumerations only where they are compiled with it. */
export interface Compiler {
  readonly NodeKind: Readonly<Record<number, string>>;
  readonly CommonFlags: Readonly<Record<'Export' | 'Const', number>>;
  readonly LiteralKind: Readonly<Record<'Float' | 'Integer' | 'String' | 'Template', number>>;
  readonly Token: Readonly<
    Record<
      'Slash' | 'Slash_Equals' | 'Percent' | 'Percent_Equals' | 'Asterisk_Asterisk' | 'Asterisk_Asterisk_Equals',
      number
    >
  >;
  newOptions(): unknown;
  newProgram(options: unknown): {
    readonly sources: readonly { readonly normalizedPath: string; readonly statements: readonly Node[] }[];
  };
  parse(program: unknown, text: string, path: string, isEntry: boolean): void;
  nextDiagnostic(
    program: unknown,
  ): { readonly message: string; readonly range: { readonly start: number } | null } | null;
}

/** It is large, and most commands never need it. */
export const compiler = async (): Promise<Compiler> => (await import('assemblyscript')).default;

export interface Parsed {
  readonly statements: readonly Node[];
  /** What is no AssemblyScript at all. */
  readonly faults: readonly Fault[];
}

export const lineAt = (text: string, offset: number): number => text.slice(0, offset).split('\n').length;

/** What is wrong with a text, each thing told once a line. */
export class FaultList {
  readonly all: Fault[] = [];
  private readonly text: string;

  constructor(text: string) {
    this.text = text;
  }

  say(node: Node, message: string): void {
    const line = lineAt(this.text, node.range.start);
    if (!this.all.some((fault) => fault.line === line && fault.message === message)) this.all.push({ line, message });
  }
}

export function parse(as: Compiler, text: string): Parsed {
  const program = as.newProgram(as.newOptions());
  as.parse(program, text, 'responses.ts', true);
  const faults: Fault[] = [];
  for (let found = as.nextDiagnostic(program); found; found = as.nextDiagnostic(program))
    faults.push({ line: lineAt(text, found.range?.start ?? 0), message: `the compiler says: ${found.message}` });
  const source = program.sources.find(({ normalizedPath }) => normalizedPath === 'responses.ts');
  return { statements: source?.statements ?? [], faults };
}

const isNode = (value: unknown): value is Node =>
  typeof value === 'object' && value !== null && 'kind' in value && 'range' in value;

/** The nodes directly under a node, in the text's order. */
export function children(node: Node): Node[] {
  const found: Node[] = [];
  for (const value of Object.values(node))
    if (isNode(value)) found.push(value);
    else if (Array.isArray(value)) found.push(...value.filter(isNode));
  return found.sort((a, b) => a.range.start - b.range.start);
}

/** The node and all under it. */
export function* walk(node: Node): Generator<Node> {
  yield node;
  for (const child of children(node)) yield* walk(child);
}
