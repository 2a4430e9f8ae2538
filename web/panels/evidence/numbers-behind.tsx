import { formatNumber } from '../../../shared/text.ts';
import type { PlotLine } from '../../plot/plot.tsx';
import { TableBehind } from '../../plot/table-behind.tsx';

interface NumbersProps {
  readonly x: readonly number[];
  readonly lines: readonly PlotLine[];
  readonly xLabel: string;
  readonly formatX: (x: number) => string;
}

/** The table behind a plot: all its numbers, a page at a time, for whoever cannot see it or wants to copy them. */
export function NumbersBehind({ x, lines, xLabel, formatX }: NumbersProps) {
  const rows = (): readonly (readonly string[])[] => x.map((at, index) => [formatX(at), ...lines.map((line) => {
    const cell = line.y[index];
    return cell === null || cell === undefined ? '–' : formatNumber(cell, Math.abs(cell) < 10 ? 3 : 1);
  })]);
  return <TableBehind summary={`The ${x.length} numbers`} columns={[{ label: xLabel }, ...lines.map(({ label }) => ({ label, isNumber: true }))]} rows={rows} />;
}
