import { SaxesParser } from 'saxes';

/** One element with its attributes and children, in file order. Text is not kept: task data have none. */
export interface XmlElement {
  readonly name: string;
  readonly attributes: Readonly<Record<string, string>>;
  readonly children: readonly XmlElement[];
}

export interface XmlDocument {
  /** Undefined when there is not even one element. */
  readonly root: XmlElement | undefined;
  readonly bytes: number;
  /** The first fault, when the text is not well-formed: what was read before it counts. */
  readonly problem: string | undefined;
}

interface OpenElement {
  readonly name: string;
  readonly attributes: Readonly<Record<string, string>>;
  readonly children: XmlElement[];
}

/** Elements; more is no device and no day. */
const MOST_ELEMENTS = 2_000_000;
const DEEPEST = 100;

/** Reads XML as it comes, in UTF-8; entities of its own making are not expanded, nothing outside the file is fetched. */
export async function readXml(bytes: AsyncIterable<Uint8Array>): Promise<XmlDocument> {
  const parser = new SaxesParser({ position: true });
  const open: OpenElement[] = [];
  let root: XmlElement | undefined;
  let problem: string | undefined;
  let size = 0;
  let count = 0;

  parser.on('error', (error) => {
    problem ??= `line ${parser.line}: ${error.message.replace(/^\d+:\d+: /, '')}`;
  });
  parser.on('opentag', ({ name, attributes }) => {
    if (problem !== undefined) return;
    count += 1;
    const element: OpenElement = { name, attributes: attributes as Record<string, string>, children: [] };
    if (count > MOST_ELEMENTS || open.length > DEEPEST) problem = `line ${parser.line}: more elements than task data have`;
    open.at(-1)?.children.push(element);
    root ??= element;
    open.push(element);
  });
  parser.on('closetag', () => {
    if (problem === undefined) open.pop();
  });

  const decoder = new TextDecoder();
  for await (const chunk of bytes) {
    size += chunk.length;
    if (problem === undefined) parser.write(decoder.decode(chunk, { stream: true }));
  }
  if (problem === undefined) {
    parser.write(decoder.decode());
    parser.close();
  }
  return { root, bytes: size, problem };
}
