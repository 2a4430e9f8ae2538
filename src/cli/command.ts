import { parseArgs } from 'node:util';
import { nearest } from '../../shared/nearest.ts';
import { UsageError } from '../index.ts';

/** Where a command reads its surroundings and writes its answer; tests give their own. */
export interface Terminal {
  readonly out: (text: string) => void;
  readonly err: (text: string) => void;
  /** Colour and progress belong on terminals only. */
  readonly outIsTerminal: boolean;
  readonly errIsTerminal: boolean;
  /** Asks on the terminal; left out when there is nobody to ask. */
  readonly ask?: (question: string) => Promise<string>;
  readonly environment: Readonly<Record<string, string | undefined>>;
  /** Aborted by Ctrl-C. */
  readonly interrupted: AbortSignal;
}

export interface Option {
  readonly help: string;
  /** Name of the value in the help text; a flag when absent. */
  readonly value?: string;
  readonly oneOf?: readonly string[];
}

export interface Request {
  readonly logs: readonly string[];
  readonly value: (option: string) => string | undefined;
  readonly flag: (option: string) => boolean;
}

/** A command is data plus `run`, so that help cannot lie. `run` gives the exit status. */
export interface Command {
  readonly name: string;
  readonly arguments: string;
  readonly summary: string;
  readonly options: Readonly<Record<string, Option>>;
  readonly examples: readonly string[];
  readonly run: (request: Request, terminal: Terminal) => Promise<number>;
}

/** Options that every command takes. */
export const commonOptions: Readonly<Record<string, Option>> = {
  'units': { value: 'SYSTEM', oneOf: ['metric', 'us'], help: 'units that people read: metric (default) or us' },
  'zone': { value: 'NAME', help: 'time zone of clock times without zone and of printed times, e.g. America/Regina (default UTC)' },
  'quiet': { help: 'no progress and no notes' },
  'no-color': { help: 'no colour, also on a terminal' },
  'help': { help: 'this text' },
};

/** Command-line words → request; throws UsageError that names the nearest known option. */
export function parseRequest(command: Command, words: readonly string[]): Request {
  const known = { ...command.options, ...commonOptions };
  for (const word of words) {
    const name = /^--([^=]+)/.exec(word)?.[1];
    if (word === '--') break;
    if (name === undefined || Object.hasOwn(known, name)) continue;
    const meant = nearest(name, Object.keys(known));
    throw new UsageError('unknown-option', `sowtrace ${command.name} has no option --${name}.`, meant === undefined ? `See sowtrace ${command.name} --help.` : `Did you mean --${meant}?`);
  }
  const options = Object.fromEntries(Object.entries(known).map(([name, option]) => [name, { type: option.value === undefined ? 'boolean' as const : 'string' as const }]));
  const parsed = parseWords(command, words, options);
  for (const [name, option] of Object.entries(known)) {
    const value = parsed.values[name];
    if (option.oneOf !== undefined && typeof value === 'string' && !option.oneOf.includes(value)) {
      throw new UsageError('bad-value', `--${name} cannot be "${value}".`, `Use ${option.oneOf.join(' or ')}.`);
    }
  }
  return {
    logs: parsed.positionals,
    value: (name) => (typeof parsed.values[name] === 'string' ? parsed.values[name] : undefined),
    flag: (name) => parsed.values[name] === true,
  };
}

function parseWords(command: Command, words: readonly string[], options: Record<string, { type: 'boolean' | 'string' }>): { values: Record<string, unknown>; positionals: string[] } {
  try {
    return parseArgs({ args: [...words], options, allowPositionals: true, strict: true });
  } catch (error) {
    const sentence = error instanceof Error ? (error.message.split('\n')[0] ?? '') : String(error);
    throw new UsageError('bad-option', `${sentence.replace(/\.$/, '')}.`, `See sowtrace ${command.name} --help.`);
  }
}

export function helpOf(command: Command): string {
  const describe = (options: Readonly<Record<string, Option>>): string =>
    Object.entries(options).map(([name, option]) => `  --${name}${option.value === undefined ? '' : ` ${option.value}`}`.padEnd(26) + option.help).join('\n');
  return [
    `sowtrace ${command.name} ${command.arguments}`.trim(),
    '',
    command.summary,
    '',
    ...command.examples.map((example) => `  ${example}`),
    '',
    ...(Object.keys(command.options).length > 0 ? [describe(command.options)] : []),
    describe(commonOptions),
    '',
  ].join('\n');
}
