import type { DuckDBConnection } from '@duckdb/node-api';
import { InputError } from '../core/errors.ts';

export type Engine = typeof import('@duckdb/node-api');

/** DuckDB when it is there: 70 MB that nothing else needs. */
export async function loadEngine(load: () => Promise<Engine> = () => import('@duckdb/node-api')): Promise<Engine> {
  try {
    return await load();
  } catch (error) {
    const isMissing = error instanceof Error && 'code' in error && error.code === 'ERR_MODULE_NOT_FOUND';
    const reason = isMissing ? 'which is not installed' : `which does not load: ${error instanceof Error ? error.message.split('\n')[0] ?? '' : String(error)}`;
    throw new InputError('no-engine', `Fleet questions need DuckDB, ${reason}.`, 'Install it where Sowtrace lies with npm install --ignore-scripts @duckdb/node-api (70 MB); everything else works without it.');
  }
}

export interface OpenEngine {
  readonly connection: DuckDBConnection;
  /** From here on no file, no network, no extension and no setting can be reached, whatever is asked. */
  readonly lock: () => Promise<void>;
  readonly close: () => void;
}

/* Enough for a hundred thousand kept days; nothing goes to disk. */
const LIMITS = { memory_limit: '1GB', threads: '2', autoinstall_known_extensions: 'false', autoload_known_extensions: 'false', allow_community_extensions: 'false', temp_directory: '' } as const;

/** An engine in memory, still open to files so that tables can be loaded. */
export async function openEngine(engine: Engine): Promise<OpenEngine> {
  const instance = await engine.DuckDBInstance.create(':memory:', LIMITS);
  const connection = await instance.connect();
  return {
    connection,
    lock: async () => {
      await connection.run('SET enable_external_access = false');
      await connection.run('SET lock_configuration = true');
    },
    close: () => {
      connection.closeSync();
      instance.closeSync();
    },
  };
}
