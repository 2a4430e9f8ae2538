/**
 * Columns of numbers with a few words about them, as one binary answer: u32 length of the head, the head as JSON, then
 * each column at the next multiple of 8 bytes, little-endian. The page looks at them in place; nothing is parsed.
 */
export type PackColumn = Float64Array | Float32Array | Uint32Array | Uint16Array | Uint8Array;

export interface Pack<M> {
  readonly meta: M;
  readonly columns: Readonly<Record<string, PackColumn>>;
}

const TYPES = { f64: Float64Array, f32: Float32Array, u32: Uint32Array, u16: Uint16Array, u8: Uint8Array } as const;
type TypeName = keyof typeof TYPES;

interface Head {
  readonly meta: unknown;
  readonly columns: readonly { readonly name: string; readonly type: TypeName; readonly length: number }[];
}

const aligned = (offset: number): number => Math.ceil(offset / 8) * 8;

export function encodePack({ meta, columns }: Pack<unknown>): ArrayBuffer {
  const named = Object.entries(columns);
  const head: Head = { meta, columns: named.map(([name, column]) => ({ name, type: typeOf(column), length: column.length })) };
  const text = new TextEncoder().encode(JSON.stringify(head));
  const start = aligned(4 + text.length);
  const buffer = new ArrayBuffer(named.reduce((size, [, column]) => size + aligned(column.byteLength), start));
  new DataView(buffer).setUint32(0, text.length, true);
  new Uint8Array(buffer, 4, text.length).set(text);
  let offset = start;
  for (const [, column] of named) {
    new Uint8Array(buffer, offset, column.byteLength).set(new Uint8Array(column.buffer, column.byteOffset, column.byteLength));
    offset += aligned(column.byteLength);
  }
  return buffer;
}

/** The caller knows what the server packed there. */
export function decodePack<M>(buffer: ArrayBuffer): Pack<M> {
  const length = new DataView(buffer).getUint32(0, true);
  const head = JSON.parse(new TextDecoder().decode(new Uint8Array(buffer, 4, length))) as Head;
  const columns: Record<string, PackColumn> = {};
  let offset = aligned(4 + length);
  for (const { name, type, length: size } of head.columns) {
    const column = new TYPES[type](buffer, offset, size);
    columns[name] = column;
    offset += aligned(column.byteLength);
  }
  return { meta: head.meta as M, columns };
}

function typeOf(column: PackColumn): TypeName {
  if (column instanceof Float64Array) return 'f64';
  if (column instanceof Float32Array) return 'f32';
  if (column instanceof Uint32Array) return 'u32';
  return column instanceof Uint16Array ? 'u16' : 'u8';
}

/** The column of that name as doubles, singles …; throws when the answer has none, which is our own mistake. */
export function columnOf<T extends PackColumn>(pack: Pack<unknown>, name: string, type: new (length: number) => T): T {
  const column = pack.columns[name];
  if (column instanceof type) return column;
  throw new Error(`no column ${name} in the answer`);
}
