import { InputError, UsageError } from '../core/errors.ts';
import { loadEngine, openEngine, type Engine, type OpenEngine } from './engine.ts';
import type { FleetParameter, FleetQuestion } from './questions.ts';

/** What is asked about: files that Sowtrace wrote and has just verified, and what was found at the machines. */
export interface FleetTables {
  /** Absolute paths of `machine=…/date=…/case=…/measurements.parquet`, and of the findings beside them. */
  readonly measurements: readonly string[];
  readonly findings: readonly string[];
  readonly marks: readonly { readonly case: string; readonly finding: string; readonly state: string }[];
}

export type Cell = string | number | boolean | null;

export interface FleetAnswer {
  readonly columns: readonly string[];
  readonly rows: readonly (readonly Cell[])[];
}

export interface Fleet {
  /** Rows of `measurements`, `findings` and `marks`. */
  readonly counts: Readonly<Record<'measurements' | 'findings' | 'marks', number>>;
  /** Parameters left out keep their preset. Throws UsageError for one that the question does not have. */
  readonly ask: (question: FleetQuestion, parameters?: Readonly<Record<string, string>>) => Promise<FleetAnswer>;
  /** Any SQL, with the doors shut; for tests that they are. */
  readonly run: (sql: string) => Promise<FleetAnswer>;
  readonly close: () => void;
}

/** Reads the tables into memory, shuts every door, and takes questions. Throws InputError without DuckDB or without tables. */
export async function openFleet(tables: FleetTables, load?: () => Promise<Engine>): Promise<Fleet> {
  if (tables.measurements.length === 0) throw new InputError('no-days', 'No kept day can be asked about.', 'Keep days first, or name another folder with --store.');
  const engine = await loadEngine(load);
  const open = await openEngine(engine);
  try {
    await loadTables(engine, open, tables);
    await open.lock();
  } catch (error) {
    open.close();
    throw error;
  }
  const run = async (sql: string, values: Readonly<Record<string, string | number>> = {}): Promise<FleetAnswer> => {
    const reader = await open.connection.runAndReadAll(sql, { ...values });
    return { columns: reader.columnNames(), rows: reader.getRowsJS().map((row) => row.map(cellOf)) };
  };
  const count = async (table: string): Promise<number> => Number((await run(`SELECT count(*) FROM ${table}`)).rows[0]?.[0]);
  return {
    counts: { measurements: await count('measurements'), findings: await count('findings'), marks: await count('marks') },
    ask: (question, parameters = {}) => run(question.sql, valuesFor(question, parameters)),
    run: (sql) => run(sql),
    close: open.close,
  };
}

/** A case kept again lies in `case=<id>-<revision>`; to questions it is the same case. */
const COLUMNS = `* EXCLUDE ("case"), split_part("case", '-', 1) AS "case"`;

async function loadTables({ LIST, VARCHAR, listValue }: Engine, { connection }: OpenEngine, { measurements, findings, marks }: FleetTables): Promise<void> {
  for (const [table, files] of [['measurements', measurements], ['findings', findings]] as const) {
    const source = 'read_parquet($files, hive_partitioning = true, hive_types_autocast = false)';
    await connection.run(`CREATE TABLE ${table} AS SELECT ${COLUMNS} FROM ${source}`, { files: listValue([...files]) }, { files: LIST(VARCHAR) });
  }
  await connection.run('CREATE TABLE marks ("case" VARCHAR, finding VARCHAR, state VARCHAR)');
  for (const mark of marks) await connection.run('INSERT INTO marks VALUES ($case, $finding, $state)', { case: mark.case, finding: mark.finding, state: mark.state });
}

function cellOf(value: unknown): Cell {
  if (typeof value === 'bigint') return Number(value);
  if (value instanceof Date) return value.toISOString();
  return typeof value === 'string' || typeof value === 'boolean' || (typeof value === 'number' && Number.isFinite(value)) ? value : null;
}

/** Values as bound, of the preset's kind. */
function valuesFor({ id, parameters }: FleetQuestion, given: Readonly<Record<string, string>>): Record<string, string | number> {
  const unknown = Object.keys(given).find((name) => !parameters.some((parameter) => parameter.name === name));
  if (unknown !== undefined) throw new UsageError('no-parameter', `The question ${id} has no "${unknown}".`, `It takes ${parameters.map(({ name }) => name).join(', ')}.`);
  return Object.fromEntries(parameters.map((parameter) => [parameter.name, valueOf(parameter, given[parameter.name])]));
}

function valueOf({ name, preset }: FleetParameter, text: string | undefined): string | number {
  if (text === undefined) return preset;
  if (typeof preset === 'string') return text;
  const percent = /^\s*(-?\d*\.?\d+)\s*%\s*$/.exec(text);
  const value = percent === null ? Number(text) : Number(percent[1]) / 100;
  if (text.trim() !== '' && Number.isFinite(value)) return value;
  throw new UsageError('bad-number', `"${text}" for ${name} is not a number.`, `Write it as ${preset} or ${preset * 100} %.`);
}
