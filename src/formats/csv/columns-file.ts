import { channelKind, nearestChannel } from '../../../shared/channel-names.ts';
import { SetupError } from '../../core/errors.ts';
import { DAY_FIRST, MONTH_FIRST } from './time-cell.ts';
import { meaningOf, unitProblem, type ChannelHeading } from './headings.ts';

/** columns.json (contract 3) after validation. */
export interface ColumnsFile {
  /** Heading text → what it means. */
  readonly columns: ReadonlyMap<string, ChannelHeading>;
  readonly timeColumn?: { readonly heading: string; readonly unit?: string };
}

const EXAMPLE = '{"columns":{"Fan upper":{"channel":"fan.1.speed","unit":"rpm"}}}';
const TIME_UNITS: ReadonlySet<string> = new Set(['s', 'ms', DAY_FIRST, MONTH_FIRST]);

/** Reads columns.json; `fileName` is for messages. Throws SetupError with the place and what to do. */
export function parseColumns(text: string, fileName: string): ColumnsFile {
  const columns = new Map<string, ChannelHeading>();
  let timeColumn: ColumnsFile['timeColumn'];
  for (const [heading, entry] of Object.entries(columnsIn(text, fileName))) {
    const fail = (message: string, whatToDo: string): never => {
      throw new SetupError('bad-column', `${fileName}: column "${heading}" ${message}.`, whatToDo);
    };
    if (!isRecord(entry)) return fail('must be an object with "channel"', `Write for example ${EXAMPLE}.`);
    const unknown = Object.keys(entry).find((key) => key !== 'channel' && key !== 'unit');
    if (unknown !== undefined) return fail(`has the unknown key "${unknown}"`, 'Known are "channel" and "unit".');
    const { channel, unit } = entry;
    if (typeof channel !== 'string') return fail('has no "channel"', `Write for example ${EXAMPLE}.`);
    if (unit !== undefined && typeof unit !== 'string') return fail('has a "unit" that is not a text', 'Put the unit in double quotes, for example "km/h".');
    if (channel === 'time') {
      if (timeColumn !== undefined) return fail(`is named time, and so is "${timeColumn.heading}"`, 'Name one column time.');
      if (unit !== undefined && !TIME_UNITS.has(unit)) return fail(`gives time the unit "${unit}"`, 'Use "s" or "ms", "D/M/Y" or "M/D/Y" for dates written so, or no unit for ISO 8601 times.');
      timeColumn = { heading, ...(unit === undefined ? {} : { unit }) };
      continue;
    }
    const kind = channelKind(channel);
    if (kind === undefined) {
      const meant = nearestChannel(channel);
      return fail(`names the channel "${channel}", which does not exist`, meant === undefined ? 'Channel names are listed in the README, for example fan.1.speed.' : `Did you mean "${meant}"?`);
    }
    const meaning = meaningOf(channel, kind, unit);
    if (meaning === undefined) return fail(unitProblem(channel, kind, unit ?? ''), 'Use one of these units.');
    columns.set(heading, meaning);
  }
  return { columns, ...(timeColumn === undefined ? {} : { timeColumn }) };
}

function columnsIn(text: string, fileName: string): Record<string, unknown> {
  let parsed: unknown;
  try {
    parsed = JSON.parse(text.replace(/^\uFEFF/, ''));
  } catch (error) {
    const reason = error instanceof Error ? error.message : String(error);
    throw new SetupError('bad-json', `${fileName} is not valid JSON: ${reason}.`, 'Mend the place named, for example a missing comma or quote.');
  }
  if (isRecord(parsed) && isRecord(parsed['columns'])) return parsed['columns'];
  throw new SetupError('bad-columns-file', `${fileName} has no "columns" object.`, `Write for example ${EXAMPLE}.`);
}

function isRecord(value: unknown): value is Record<string, unknown> {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}
