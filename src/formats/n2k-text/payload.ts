/** Data bytes of a message as text. */

export function hexBytes(digits: string): Uint8Array {
  return Uint8Array.from({ length: digits.length >> 1 }, (_, i) => Number.parseInt(digits.slice(i * 2, i * 2 + 2), 16));
}

/** Undefined when the text is no whole Base64. */
export function base64Bytes(text: string): Uint8Array | undefined {
  if (text.length % 4 !== 0) return undefined;
  return new Uint8Array(Buffer.from(text, 'base64'));
}

/** NMEA 0183: exclusive or of all characters between `$` and `*`. A sentence without one is taken as it is. */
export function checksumProblem(line: string, checksum: string | undefined): string | undefined {
  if (checksum === undefined) return undefined;
  let sum = 0;
  for (let i = line.indexOf('$') + 1; i < line.length && line.charAt(i) !== '*'; i += 1) sum ^= line.charCodeAt(i);
  return sum === Number.parseInt(checksum, 16) ? undefined : `checksum ${checksum} does not fit the sentence`;
}
