import { UsageError } from '../../index.ts';
import type { Command, Option, Request, Terminal } from '../command.ts';
import { namedCase } from '../kept-day.ts';
import { readingOptions, zoneOf } from '../reading-options.ts';
import { storeOption, storeRoot } from '../store-option.ts';

export const viewOptions: Readonly<Record<string, Option>> = {
  port: { value: 'N', help: 'port on this computer (default: a free one)' },
  open: { help: 'open the address in the browser' },
  ...storeOption,
};

/** Starts the viewer and stays until interrupted. The server is loaded only when it is needed. */
export async function serve(request: Request, terminal: Terminal, asked: { readonly sample?: boolean; readonly kept?: { readonly root: string; readonly id: string }; readonly logs: readonly string[]; readonly files: { readonly setup?: string; readonly signals?: string; readonly columns?: string } }): Promise<number> {
  const { startServer } = await import('../../../server/main.ts');
  const zone = zoneOf(request);
  const { kept, ...what } = asked;
  const server = await startServer({ port: portOf(request), ...what, store: kept?.root ?? storeRoot(request, terminal), ...(kept === undefined ? {} : { kept: kept.id }), ...(zone === undefined ? {} : { zone }), units: request.value('units') === 'us' ? 'us' : 'metric' });
  terminal.out(`${server.address}\n`);
  if (!request.flag('quiet')) terminal.err('Sowtrace listens on this computer only. Stop it with Ctrl-C.\n');
  if (request.flag('open')) await server.openInBrowser();
  await new Promise<void>((resolve) => {
    if (terminal.interrupted.aborted) resolve();
    terminal.interrupted.addEventListener('abort', () => resolve(), { once: true });
  });
  await server.stop();
  return 0;
}

function portOf(request: Request): number {
  const text = request.value('port');
  if (text === undefined) return 0;
  const port = Number(text);
  if (Number.isInteger(port) && port >= 0 && port < 65_536) return port;
  throw new UsageError('bad-port', `--port "${text}" is not a port number.`, 'Use a number from 1024 to 65535, or leave it out.');
}

export const view: Command = {
  name: 'view',
  arguments: '[LOG… | CASE]',
  summary: 'Starts the viewer on this computer and prints its address. CASE is a kept day: its id, the beginning of one, or its folder.',
  options: { ...readingOptions, ...viewOptions },
  examples: ['sowtrace view', 'sowtrace view cart.csv tractor.log --setup setup.json --open', 'sowtrace view c2f491c'],
  run: async (request, terminal) => {
    const files: { setup?: string; signals?: string; columns?: string } = {};
    for (const name of ['setup', 'signals', 'columns'] as const) {
      const path = request.value(name);
      if (path !== undefined) files[name] = path;
    }
    const [word] = request.logs;
    const kept = word !== undefined && request.logs.length === 1 ? await namedCase(word, storeRoot(request, terminal)) : undefined;
    if (kept !== undefined && Object.keys(files).length > 0) throw new UsageError('unfit-option', 'A kept day brings its own setup.', 'Leave --setup, --signals and --columns out, or open the logs.');
    return serve(request, terminal, { files, logs: kept === undefined ? request.logs : [], ...(kept === undefined ? {} : { kept }) });
  },
};
