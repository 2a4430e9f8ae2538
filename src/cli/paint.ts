import type { Paint } from '../index.ts';
import type { Request, Terminal } from './command.ts';

const CODES: Readonly<Record<Parameters<Paint>[1], string>> = { action: '1;31', watch: '1;33', info: '1;36', strong: '1', faint: '2' };

/** Colour only on a terminal, and not when NO_COLOR, TERM=dumb or --no-color says no. */
export function paintFor(request: Request, terminal: Terminal): Paint {
  const { NO_COLOR: noColor, TERM: kind } = terminal.environment;
  const isColoured = terminal.outIsTerminal && !request.flag('no-color') && (noColor === undefined || noColor === '') && kind !== 'dumb';
  return isColoured ? (text, as) => `\u001B[${CODES[as]}m${text}\u001B[0m` : (text) => text;
}
