import { parquetWriteBuffer } from 'hyparquet-writer';
import type { Finding, Measurement } from '../../shared/finding.ts';
import { renderText } from '../../shared/text.ts';

const number = (name: string, data: readonly (number | undefined)[]) =>
  ({ name, type: 'DOUBLE' as const, nullable: true, data: data.map((value) => (value === undefined || !Number.isFinite(value) ? null : value)) });
const words = (name: string, data: readonly string[]) => ({ name, type: 'STRING' as const, nullable: false, data: [...data] });
const instant = (name: string, data: readonly number[]) =>
  ({ name, type: 'TIMESTAMP' as const, nullable: true, data: data.map((seconds) => (Number.isFinite(seconds) ? new Date(Math.round(seconds * 1000)) : null)) });

/** One row a measurement. `start` = seconds since 1970 UTC of the day's second 0, NaN when the day has no date. */
export function measurementsTable(measurements: readonly Measurement[], start: number): Uint8Array {
  return table([
    words('name', measurements.map(({ name }) => name)),
    words('subject', measurements.map(({ subject }) => subject)),
    number('value', measurements.map(({ value }) => value)),
    number('low', measurements.map(({ low }) => low)),
    number('high', measurements.map(({ high }) => high)),
    words('unit', measurements.map(({ unit }) => unit)),
    number('n', measurements.map(({ n }) => n)),
    instant('start', measurements.map(() => start)),
  ], 'sowtrace/case-measurements/1');
}

/** One row a finding; `start` UTC, `duration` s; quantities in the titles are metric, clock times UTC. */
export function findingsTable(findings: readonly Finding[], start: number): Uint8Array {
  const reading = { units: 'metric', zone: 'UTC', dayStart: Number.isFinite(start) ? start : 0 } as const;
  return table([
    words('id', findings.map(({ id }) => id)),
    words('code', findings.map(({ code }) => code)),
    words('subject', findings.map(({ subject }) => subject)),
    words('severity', findings.map(({ severity }) => severity)),
    words('verdict', findings.map(({ verdict }) => verdict)),
    words('title', findings.map(({ title }) => renderText(title, reading))),
    number('value', findings.map(({ measure }) => measure?.value)),
    number('low', findings.map(({ measure }) => measure?.low)),
    number('high', findings.map(({ measure }) => measure?.high)),
    words('unit', findings.map(({ measure }) => measure?.unit ?? '')),
    number('expected', findings.map(({ measure }) => measure?.expected)),
    instant('start', findings.map(({ span }) => start + span.start)),
    number('duration', findings.map(({ span }) => span.end - span.start)),
    number('area_ha', findings.map(({ consequence }) => consequence?.areaHa)),
    number('mass_kg', findings.map(({ consequence }) => consequence?.massKg)),
  ], 'sowtrace/case-findings/1');
}

function table(columnData: Parameters<typeof parquetWriteBuffer>[0]['columnData'], format: string): Uint8Array {
  return new Uint8Array(parquetWriteBuffer({ columnData, kvMetadata: [{ key: 'format', value: format }] }));
}
