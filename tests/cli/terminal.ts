import type { Terminal } from '../../src/cli/command.ts';
import { runCommandLine } from '../../src/cli/main.ts';

export interface Heard {
  readonly status: number;
  readonly out: string;
  readonly err: string;
}

/** Runs one command line in this process and gives what it said. */
export async function sowtrace(words: readonly string[], surroundings: Partial<Terminal> = {}): Promise<Heard> {
  let out = '';
  let err = '';
  const status = await runCommandLine(words, {
    out: (text) => { out += text; },
    err: (text) => { err += text; },
    outIsTerminal: false,
    errIsTerminal: false,
    environment: {},
    interrupted: new AbortController().signal,
    ...surroundings,
  });
  return { status, out, err };
}
