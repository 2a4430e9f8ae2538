import { useMemo } from 'preact/hooks';
import type { Evidence, EvidenceSeries, HistogramEvidence, TableEvidence, TraceEvidence, XyEvidence } from '../../../shared/evidence.ts';
import { formatClock, formatNumber, renderText, shownUnit } from '../../../shared/text.ts';
import { Plot, type PlotLine } from '../../plot/plot.tsx';
import { strokeOf, themeColour, type Stroke } from '../../plot/palette.ts';
import { reading } from '../../state.ts';
import { MapPicture } from './map-picture.tsx';
import { RunsPicture } from './runs-picture.tsx';

/** One switch over the kinds of evidence; a new detector needs no new screen. */
export function EvidenceView({ evidence }: { readonly evidence: Evidence }) {
  return (
    <section class="evidence">
      <h3>{renderText(evidence.title, reading.value)}</h3>
      <Picture evidence={evidence} />
    </section>
  );
}

function Picture({ evidence }: { readonly evidence: Evidence }) {
  switch (evidence.kind) {
    case 'trace': return <Trace evidence={evidence} />;
    case 'xy': return <Xy evidence={evidence} />;
    case 'histogram': return <Histogram evidence={evidence} />;
    case 'runs': return <RunsPicture evidence={evidence} />;
    case 'table': return <EvidenceTable evidence={evidence} />;
    case 'map': return <MapPicture evidence={evidence} />;
  }
}

const ROLE_COLOUR: Readonly<Record<EvidenceSeries['role'], string>> = { subject: '--line-2', witness: '--line-1', limit: '--limit' };

function strokeFor(series: EvidenceSeries, index: number, all: readonly EvidenceSeries[]): Stroke {
  const isFirstOfRole = all.findIndex((other) => other.role === series.role) === index;
  return isFirstOfRole ? { colour: themeColour(ROLE_COLOUR[series.role]), dash: series.role === 'limit' ? [6, 4] : [] } : strokeOf(index + 2);
}

/** All series on one x axis: sorted union of their x, null where a series has no point there. */
export function aligned(series: readonly EvidenceSeries[], convert: (si: number) => number): { readonly x: readonly number[]; readonly lines: readonly PlotLine[] } {
  const x = [...new Set(series.flatMap((one) => [...one.x]))].sort((a, b) => a - b);
  const at = new Map(x.map((value, index) => [value, index]));
  const lines = series.flatMap((one, index) => {
    const stroke = strokeFor(one, index, series);
    const put = (values: readonly (number | null)[] | undefined): (number | null)[] => {
      const y: (number | null)[] = Array.from({ length: x.length }, () => null);
      values?.forEach((value, i) => {
        const place = at.get(one.x[i] as number);
        if (place !== undefined && value !== null && Number.isFinite(value)) y[place] = convert(value);
      });
      return y;
    };
    const bounds = one.low === undefined || one.high === undefined ? [] : [
      { label: `${one.label}, low`, stroke: { ...stroke, dash: [2, 3] }, y: put(one.low), style: 'line' as const },
      { label: `${one.label}, high`, stroke: { ...stroke, dash: [2, 3] }, y: put(one.high), style: 'line' as const },
    ];
    return [{ label: one.label, stroke, y: put(one.y), style: one.style }, ...bounds];
  });
  return { x, lines };
}

function Trace({ evidence }: { readonly evidence: TraceEvidence }) {
  const shown = shownUnit(evidence.unit, reading.value.units);
  const { x, lines } = useMemo(() => aligned(evidence.series, shown.convert), [evidence, reading.value.units]);
  return (
    <>
      <Plot name={renderText(evidence.title, reading.value)} x={x} lines={lines} height={260} unit={shown.label} formatX={(time) => formatClock(time, reading.value)}
        range={{ from: evidence.span.start, to: evidence.span.end }} shaded={evidence.shaded} levels={evidence.levels.map((level) => ({ label: level.label, value: shown.convert(level.value) }))} />
      <NumbersBehind x={x} lines={lines} xLabel="time" formatX={(time) => formatClock(time, reading.value)} />
    </>
  );
}

function Xy({ evidence }: { readonly evidence: XyEvidence }) {
  const ends = useMemo(() => {
    const all = evidence.series.flatMap((one) => [...one.x]).filter(Number.isFinite);
    return [Math.min(...all), Math.max(...all)] as const;
  }, [evidence]);
  const { x, lines } = useMemo(() => {
    const straight = evidence.lines.map((line): EvidenceSeries => ({ label: line.label, role: 'limit', style: 'line', x: ends, y: ends.map((value) => line.intercept + line.slope * value) }));
    return aligned([...evidence.series, ...straight], (value) => value);
  }, [evidence, ends]);
  return (
    <>
      <Plot name={renderText(evidence.title, reading.value)} x={x} lines={lines} height={280} unit={`${evidence.y.label}, ${evidence.y.unit}`} formatX={(value) => `${formatNumber(value, Math.abs(value) < 10 ? 2 : 0)} ${evidence.x.unit}`} />
      <NumbersBehind x={x} lines={lines} xLabel={`${evidence.x.label}, ${evidence.x.unit}`} formatX={(value) => formatNumber(value, 2)} />
    </>
  );
}

function Histogram({ evidence }: { readonly evidence: HistogramEvidence }) {
  const most = Math.max(1, ...evidence.counts);
  return (
    <div class="scroll">
      <table>
        <thead><tr><th scope="col">{evidence.label}{evidence.unit === '' ? '' : `, ${evidence.unit}`}</th><th scope="col" class="number">count</th><th scope="col"><span class="unseen">share</span></th></tr></thead>
        <tbody>
          {evidence.counts.map((count, index) => (
            <tr key={index}>
              <td>{formatNumber(evidence.edges[index] as number, 3)} to {formatNumber(evidence.edges[index + 1] as number, 3)}</td>
              <td class="number">{count}</td>
              <td><meter min={0} max={most} value={count} aria-label={`${count}`} /></td>
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}

function EvidenceTable({ evidence }: { readonly evidence: TableEvidence }) {
  return (
    <div class="scroll">
      <table>
        <thead><tr>{evidence.columns.map((column) => <th key={column.label} scope="col">{column.label}{column.unit === undefined || column.unit === '' ? '' : `, ${column.unit}`}</th>)}</tr></thead>
        <tbody>
          {evidence.rows.map((row, index) => (
            <tr key={index}>
              {row.map((cell, column) => <td key={column} class={typeof cell === 'number' ? 'number' : ''}>{cell === null ? '–' : typeof cell === 'number' ? formatNumber(cell, evidence.columns[column]?.digits ?? 2) : renderText(cell, reading.value)}</td>)}
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}

const ROWS_BEHIND = 200;

/** The table behind a plot: its numbers, thinned to a readable length, for whoever cannot see or wants to copy them. */
export function NumbersBehind({ x, lines, xLabel, formatX }: { readonly x: readonly number[]; readonly lines: readonly PlotLine[]; readonly xLabel: string; readonly formatX: (x: number) => string }) {
  const stride = Math.max(1, Math.ceil(x.length / ROWS_BEHIND));
  return (
    <details>
      <summary>The numbers{stride > 1 ? `, every ${stride}th of ${x.length}` : ''}</summary>
      <div class="scroll">
        <table>
          <thead><tr><th scope="col">{xLabel}</th>{lines.map((line) => <th key={line.label} scope="col" class="number">{line.label}</th>)}</tr></thead>
          <tbody>
            {x.filter((_, index) => index % stride === 0).map((value, row) => (
              <tr key={value}><th scope="row">{formatX(value)}</th>{lines.map((line) => {
                const cell = line.y[row * stride];
                return <td key={line.label} class="number">{cell === null || cell === undefined ? '–' : formatNumber(cell, 3)}</td>;
              })}</tr>
            ))}
          </tbody>
        </table>
      </div>
    </details>
  );
}
