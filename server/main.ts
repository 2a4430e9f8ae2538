import { spawn } from 'node:child_process';
import { createServer } from 'node:http';
import { readFile } from 'node:fs/promises';
import { readFileSync } from 'node:fs';
import path from 'node:path';
import { fileURLToPath } from 'node:url';
import type { UnitSystem } from '../shared/text.ts';
import { InputError, UsageError, openStore } from '../src/index.ts';
import { createApp } from './app.ts';
import { createDays, type Days } from './days.ts';
import { createUploads } from './uploads.ts';

export interface ServerOptions {
  /** 0 = any free port. */
  readonly port: number;
  /** Paths of logs to open at once, as one day. */
  readonly logs: readonly string[];
  /** Opens the shipped sample day instead. */
  readonly sample?: boolean;
  /** Folder in which days are kept; none are when left out. */
  readonly store?: string;
  /** Id of a kept day to open instead of logs. */
  readonly kept?: string;
  readonly files: { readonly setup?: string; readonly signals?: string; readonly columns?: string };
  readonly zone?: string;
  readonly units: UnitSystem;
}

export interface RunningServer {
  /** Where the viewer is, e.g. `http://127.0.0.1:41234/#day=…`. */
  readonly address: string;
  readonly openInBrowser: () => Promise<void>;
  readonly stop: () => Promise<void>;
}

const LOOPBACK = '127.0.0.1';
const MOST_OPEN_DAYS = 4;
const MOST_UPLOAD_BYTES = 8 * 2 ** 30;
/** The shipped sample day; from dist/server to the repository's root. */
const SAMPLE = fileURLToPath(new URL('../../sample-logs/mud-in-opener/', import.meta.url));

/** Starts the viewer's server on the loopback interface only. */
export async function startServer(options: ServerOptions): Promise<RunningServer> {
  const uploads = createUploads(MOST_UPLOAD_BYTES);
  const days = createDays(MOST_OPEN_DAYS, (paths) => void uploads.release(paths));
  const store = options.store === undefined ? undefined : openStore(options.store);
  const kept = store === undefined || options.kept === undefined ? undefined : (await store.readings(options.kept)).listing;
  let port = options.port;
  const app = createApp({
    days,
    uploads,
    hosts: () => [`${LOOPBACK}:${port}`, `localhost:${port}`],
    sample: () => openSample(days, options.units),
    ...(store === undefined ? {} : { store }),
  });
  const server = createServer(app);
  server.maxConnections = 256;
  await new Promise<void>((resolve, reject) => {
    server.once('error', (error: NodeJS.ErrnoException) => {
      reject(error.code === 'EADDRINUSE' ? new UsageError('port-taken', `Port ${port} is already in use.`, 'Choose another with --port, or leave it out.') : error);
    });
    server.listen(port, LOOPBACK, resolve);
  });
  const bound = server.address();
  if (typeof bound === 'object' && bound !== null) port = bound.port;
  const day = options.sample === true ? openSample(days, options.units) : kept !== undefined && store !== undefined ? days.open({ files: [], units: options.units, kept: { store: store.root, id: kept.id, name: kept.name } }) : options.logs.length === 0 ? undefined : await openFromCommandLine(days, options);
  if (day === undefined) days.prepare();
  const address = `http://${LOOPBACK}:${port}/${day === undefined ? '' : `#day=${day}`}`;
  return {
    address,
    openInBrowser: async () => {
      const [program, ...words] = process.platform === 'darwin' ? ['open'] : process.platform === 'win32' ? ['cmd', '/c', 'start', ''] : ['xdg-open'];
      spawn(program as string, [...words, address], { detached: true, stdio: 'ignore' }).on('error', () => undefined).unref();
    },
    stop: async () => {
      server.closeAllConnections();
      await new Promise((resolve) => server.close(resolve));
      await days.closeAll();
      await uploads.clear();
    },
  };
}

async function openFromCommandLine(days: Days, options: ServerOptions): Promise<string> {
  const { files } = options;
  const [setup, signals, columns] = await Promise.all([textOf(files.setup), textOf(files.signals), textOf(files.columns)]);
  return days.open({
    files: options.logs.map((log) => ({ path: log, name: path.basename(log) })),
    units: options.units,
    ...(setup === undefined ? {} : { setup }),
    ...(signals === undefined ? {} : { signals, signalsName: files.signals ?? '' }),
    ...(columns === undefined ? {} : { columns, columnsName: files.columns ?? '' }),
    ...(options.zone === undefined ? {} : { zone: options.zone }),
  });
}

async function textOf(name: string | undefined): Promise<string | undefined> {
  if (name === undefined) return undefined;
  try {
    return await readFile(name, 'utf8');
  } catch {
    throw new InputError('cannot-read', `${name} cannot be read.`, 'Check the name and the folder.');
  }
}

function openSample(days: Days, units: UnitSystem): string {
  return days.open({
    files: [{ path: path.join(SAMPLE, 'day.log.gz'), name: 'day.log.gz' }],
    setup: readFileSync(path.join(SAMPLE, 'setup.json'), 'utf8'),
    signals: readFileSync(path.join(SAMPLE, 'signals.json'), 'utf8'),
    units,
  });
}
