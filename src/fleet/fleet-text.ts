import { formatNumber } from '../../shared/text.ts';
import type { Cell, FleetAnswer } from './fleet.ts';
import type { FleetQuestion } from './questions.ts';

/** An answer as a table for people. */
export function answerText(question: FleetQuestion, { columns, rows }: FleetAnswer): string {
  const cells = rows.map((row) => row.map(shown));
  const widths = columns.map((column, k) => Math.max(column.length, ...cells.map((row) => (row[k] ?? '').length)));
  const isNumber = columns.map((_, k) => rows.some((row) => typeof row[k] === 'number'));
  const line = (row: readonly string[]): string => row.map((cell, k) => (isNumber[k] === true ? cell.padStart(widths[k] ?? 0) : cell.padEnd(widths[k] ?? 0))).join('  ').trimEnd();
  const body = rows.length === 0 ? ['Nothing: no kept day answers this.'] : [line(columns), ...cells.map(line)];
  return `${[question.title, '', ...body, '', question.note].join('\n')}\n`;
}

/** Six digits tell what a kept day can tell. */
function shown(cell: Cell): string {
  if (cell === null) return '–';
  if (typeof cell !== 'number') return String(cell);
  if (Number.isInteger(cell)) return formatNumber(cell, 0);
  return formatNumber(cell, Math.min(6, Math.max(0, 4 - Math.floor(Math.log10(Math.abs(cell))))));
}

/** An answer as CSV (RFC 4180): text quoted and, where a spreadsheet would take it for a formula, led by an apostrophe; numbers as numbers. */
export function answerCsv({ columns, rows }: FleetAnswer): string {
  const cell = (value: Cell): string => {
    if (value === null) return '';
    if (typeof value !== 'string') return String(value);
    return `"${(/^\s*[=+\-@\t\r\n\0＝＋－＠]/.test(value) ? `'${value}` : value).replaceAll('"', '""')}"`;
  };
  return `${[columns.map((name) => cell(name)), ...rows.map((row) => row.map(cell))].map((row) => row.join(',')).join('\r\n')}\r\n`;
}

export function answerDocument(question: FleetQuestion, { columns, rows }: FleetAnswer): Record<string, unknown> {
  return { schema: 'sowtrace/fleet/1', question: question.id, title: question.title, note: question.note, rows: rows.map((row) => Object.fromEntries(columns.map((column, k) => [column, row[k] ?? null]))) };
}

/** The list of questions with what each takes. */
export function questionsText(questions: readonly FleetQuestion[]): string {
  const entries = questions.map(({ id, title, parameters }) => [`  ${id.padEnd(14)} ${title}`, ...parameters.filter(({ name }) => name !== 'from' && name !== 'to').map(({ name, help, preset }) => `  ${''.padEnd(14)}   ${name}=${preset}  ${help}`)].join('\n'));
  return `${['Questions over all kept days; every one also takes from=DATE and to=DATE:', '', ...entries].join('\n')}\n`;
}
