import { InputError } from '../core/errors.ts';
import type { LogFormat } from './log-format.ts';

/** Kinds of file that people try, by their first bytes. */
const KNOWN_KINDS: readonly (readonly [head: readonly number[], what: string, whatToDo: string])[] = [
  [[0x50, 0x4b, 3, 4], 'a zip archive or a spreadsheet workbook', 'Unpack it, or save the sheet as CSV, and give the files inside.'],
  [[0xff, 0xfe], 'text in UTF-16', 'Save it as UTF-8 text or CSV.'],
  [[0xfe, 0xff], 'text in UTF-16', 'Save it as UTF-8 text or CSV.'],
  [[0xd0, 0xcf, 0x11, 0xe0], 'an old spreadsheet or office document', 'Save the sheet as CSV.'],
  [[0x25, 0x50, 0x44, 0x46], 'a PDF document', 'Give the log it was made from.'],
  [[0x4d, 0x44, 0x46, 0x20], 'an ASAM MDF measurement file', 'Export it as CSV, or as candump or pcap for CAN.'],
  [[0x37, 0x7a, 0xbc, 0xaf], 'a 7-Zip archive', 'Unpack it and give the files inside.'],
  [[0x52, 0x61, 0x72, 0x21], 'a RAR archive', 'Unpack it and give the files inside.'],
  [[0xfd, 0x37, 0x7a, 0x58], 'compressed with xz', 'Unpack it with xz -d first.'],
  [[0x42, 0x5a, 0x68], 'compressed with bzip2', 'Unpack it with bzip2 -d first.'],
  [[0x53, 0x51, 0x4c, 0x69], 'an SQLite database', 'Export its tables as CSV.'],
];

/** Why a file is no log that can be read, as precisely as its first bytes tell. */
export function unrecognised(name: string, head: Uint8Array, formats: readonly LogFormat[]): InputError {
  if (head.length === 0) return new InputError('empty', `${name} is empty.`, 'Check that the recorder wrote it completely.');
  if (/^TLG\d{5}\.BIN$/i.test(name)) return new InputError('wrong-kind', `${name} is a part of ISO 11783-10 task data.`, 'Give TASKDATA.XML with all TLG files beside it, the folder, or a zip of it.');
  const kind = KNOWN_KINDS.find(([magic]) => magic.every((byte, i) => head[i] === byte));
  if (kind !== undefined) return new InputError('wrong-kind', `${name} is ${kind[1]}.`, kind[2]);
  const zeros = head.every((byte) => byte === 0);
  if (zeros) return new InputError('only-zeros', `${name} begins with ${head.length} zero bytes: the recorder lost power before writing it, or the card is damaged.`, 'Look for another copy of this log.');
  return new InputError('unknown-format', `${name} is in no known log format.`, `Known are ${formats.map(({ meta }) => meta.title).join(', ')}.`);
}
