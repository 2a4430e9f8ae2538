import { writeFile } from 'node:fs/promises';
import { InputError } from '../index.ts';
import type { Request, Terminal } from './command.ts';
import { reasonOf } from './reading-options.ts';

/** To `--out FILE` when given, else to stdout. */
export async function writeOut(text: string | Uint8Array, request: Request, terminal: Terminal): Promise<void> {
  const path = request.value('out');
  if (path === undefined) {
    terminal.out(typeof text === 'string' ? text : Buffer.from(text).toString('utf8'));
    return;
  }
  try {
    await writeFile(path, text);
  } catch (error) {
    throw new InputError('cannot-write', `${path} cannot be written: ${reasonOf(error)}.`, 'Choose another place with --out.');
  }
}
