#!/usr/bin/env node
import { nearest } from '../../shared/nearest.ts';
import { UsageError, isMendable, version } from '../index.ts';
import { helpOf, parseRequest, type Command, type Terminal } from './command.ts';
import { cases } from './commands/cases.ts';
import { check } from './commands/check.ts';
import { compare } from './commands/compare.ts';
import { demo } from './commands/demo.ts';
import { exportChannels } from './commands/export.ts';
import { fleet } from './commands/fleet.ts';
import { historyCommand } from './commands/history.ts';
import { inspect } from './commands/inspect.ts';
import { report } from './commands/report.ts';
import { view } from './commands/view.ts';
import { realpathSync } from 'node:fs';
import { createInterface } from 'node:readline/promises';
import { pathToFileURL } from 'node:url';

export const commands: readonly Command[] = [check, view, demo, inspect, exportChannels, cases, report, compare, historyCommand, fleet];

const overview = (): string => [
  'sowtrace reads what an air-seeding cart and its tractor recorded and says what went wrong,',
  'how sure it is, what it cost, and which one check on the machine settles it.',
  '',
  ...commands.map((command) => `  sowtrace ${`${command.name} ${command.arguments}`.padEnd(24)} ${command.summary.split('. ')[0]?.replace(/\.$/, '') ?? ''}`),
  '',
  '  sowtrace COMMAND --help',
  '  sowtrace --version',
  '',
].join('\n');

/** Runs one command line (without `node` and script) and gives the exit status. */
export async function runCommandLine(words: readonly string[], terminal: Terminal): Promise<number> {
  try {
    const [name, ...rest] = words;
    if (name === undefined || name === 'help' || name === '--help' || name === '-h') {
      terminal.out(overview());
      return name === undefined ? 2 : 0;
    }
    if (name === '--version') {
      terminal.out(`sowtrace ${version}\n`);
      return 0;
    }
    const command = commands.find((candidate) => candidate.name === name);
    if (command === undefined) {
      const meant = nearest(name, commands.map((candidate) => candidate.name));
      throw new UsageError('unknown-command', `There is no command "${name}".`, meant === undefined ? `Use ${commands.map((candidate) => candidate.name).join(', ')}.` : `Did you mean "sowtrace ${meant}"?`);
    }
    if (rest.includes('--help') || rest.includes('-h')) {
      terminal.out(helpOf(command));
      return 0;
    }
    return await command.run(parseRequest(command, rest), terminal);
  } catch (error) {
    if (isMendable(error)) {
      terminal.err(`sowtrace: ${error.message} ${error.whatToDo}\n`);
      return 2;
    }
    if (terminal.interrupted.aborted) return 130;
    const sentence = error instanceof Error ? error.message : String(error);
    terminal.err(`sowtrace: this is our mistake, not yours: ${sentence}. Please report it with the command and, if you may, the log.\n`);
    if (terminal.environment['SOWTRACE_TRACE'] !== undefined && error instanceof Error) terminal.err(`${error.stack ?? ''}\n`);
    return 70;
  }
}

function isMain(): boolean {
  const script = process.argv[1];
  return script !== undefined && import.meta.url === pathToFileURL(realpathSync(script)).href;
}

async function ask(question: string): Promise<string> {
  const lines = createInterface({ input: process.stdin, output: process.stderr });
  try {
    return await lines.question(question);
  } finally {
    lines.close();
  }
}

if (isMain()) {
  const interruption = new AbortController();
  process.once('SIGINT', () => {
    interruption.abort();
    process.once('SIGINT', () => process.exit(130));
  });
  /* A reader that has seen enough (`| head`) is no error. */
  process.stdout.on('error', (error: NodeJS.ErrnoException) => {
    if (error.code === 'EPIPE') process.exit(0);
    throw error;
  });
  process.exitCode = await runCommandLine(process.argv.slice(2), {
    out: (text) => void process.stdout.write(text),
    err: (text) => void process.stderr.write(text),
    outIsTerminal: process.stdout.isTTY,
    errIsTerminal: process.stderr.isTTY,
    ...(process.stdin.isTTY && process.stderr.isTTY ? { ask } : {}),
    environment: process.env,
    interrupted: interruption.signal,
  });
}
