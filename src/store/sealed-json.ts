import { createHash } from 'node:crypto';

export function sha256(bytes: Uint8Array | string): string {
  return createHash('sha256').update(bytes).digest('hex');
}

/** A JSON document that ends with the SHA-256 of everything else in it. */
export function sealed(document: Readonly<Record<string, unknown>>): string {
  return `${JSON.stringify({ ...document, checksum: sha256(JSON.stringify(document)) }, undefined, 2)}\n`;
}

/** The document, when not one character differs from what `sealed` wrote; undefined otherwise. */
export function unsealed(text: string): Readonly<Record<string, unknown>> | undefined {
  try {
    const { checksum: _, ...document } = JSON.parse(text) as Record<string, unknown>;
    return sealed(document) === text ? document : undefined;
  } catch {
    return undefined;
  }
}
