import { SaxesParser } from 'saxes';

/** A paper as a tree; that it parses at all shows it well-formed. */
export interface Node {
  readonly name: string;
  readonly attributes: Readonly<Record<string, string>>;
  readonly children: (Node | string)[];
}

export function treeOf(paper: string): Node {
  const root: Node = { name: '', attributes: {}, children: [] };
  const open: Node[] = [root];
  const parser = new SaxesParser();
  parser.on('error', (error) => { throw error; });
  parser.on('opentag', ({ name, attributes }) => {
    const node: Node = { name, attributes: attributes as Record<string, string>, children: [] };
    open.at(-1)?.children.push(node);
    open.push(node);
  });
  parser.on('closetag', () => void open.pop());
  parser.on('text', (text) => void open.at(-1)?.children.push(text));
  parser.write(paper).close();
  return root;
}

export function* nodesOf(node: Node): Iterable<Node> {
  yield node;
  for (const child of node.children) if (typeof child !== 'string') yield* nodesOf(child);
}

/** Everything read in it, style left out. */
export function textOf(node: Node): string {
  return node.name === 'style' ? '' : node.children.map((child) => (typeof child === 'string' ? child : textOf(child))).join('');
}

/** The first node with an attribute of that value; throws when there is none. */
export function withAttribute(root: Node, name: string, value: string): Node {
  for (const node of nodesOf(root)) if (node.attributes[name] === value) return node;
  throw new Error(`nothing with ${name}="${value}"`);
}

export interface Figure {
  /** As the findings document has it. */
  readonly value: number;
  /** As it is read. */
  readonly text: string;
}

export const figuresIn = (node: Node): readonly Figure[] => [...nodesOf(node)].filter(({ name }) => name === 'data').map((data) => ({ value: Number(data.attributes['value']), text: textOf(data) }));

/** What people read → the number; true minus sign and thousands undone. */
export const readNumber = (text: string): number => Number(text.replaceAll(',', '').replace('−', '-'));

/** Half a unit of the last figure printed. */
export const halfStep = (text: string): number => 0.5000001 * 10 ** -(/\.(\d+)$/.exec(text)?.[1]?.length ?? 0);
