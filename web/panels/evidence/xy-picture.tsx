import { useMemo } from 'preact/hooks';
import type { EvidenceSeries, XyEvidence } from '../../../shared/evidence.ts';
import { formatNumber, renderText, shownUnit } from '../../../shared/text.ts';
import { Plot } from '../../plot/plot.tsx';
import { reading } from '../../state.ts';
import { aligned } from './aligned.ts';
import { NumbersBehind } from './numbers-behind.tsx';
import { plotLines } from './plot-lines.ts';
import { themeTurns } from '../../plot/palette.ts';

const HEIGHT = 290;
const ROOM = 0.04;

/** One quantity against another, with the straight lines they are held against. */
export function XyPicture({ evidence }: { readonly evidence: XyEvidence }) {
  const { units } = reading.value;
  const [shownX, shownY] = [shownUnit(evidence.x.unit, units), shownUnit(evidence.y.unit, units)];
  const { x, lines, range } = useMemo(() => {
    const all = evidence.series.flatMap((one) => [...one.x]).filter(Number.isFinite);
    const [least, most] = [Math.min(...all), Math.max(...all)];
    const room = (most - least || 1) * ROOM;
    const ends = [least - room, most + room];
    const straight = evidence.lines.map((line): EvidenceSeries => ({ label: line.label, role: 'limit', style: 'line', x: ends, y: ends.map((value) => line.intercept + line.slope * value) }));
    const inShownX = [...evidence.series, ...straight].map((one): EvidenceSeries => ({ ...one, x: one.x.map(shownX.convert) }));
    return { ...aligned(inShownX, shownY.convert), range: { from: shownX.convert(ends[0] ?? 0), to: shownX.convert(ends[1] ?? 1) } };
  }, [evidence, units]);
  const drawn = useMemo(() => plotLines(lines), [lines, themeTurns.value]);
  const label = (name: string, unit: string): string => (unit === '' ? name : `${name}, ${unit}`);
  const formatX = (value: number): string => `${formatNumber(value, Math.abs(range.to - range.from) < 10 ? 2 : 0)}${shownX.label === '' ? '' : ` ${shownX.label}`}`;
  return (
    <>
      <Plot name={renderText(evidence.title, reading.value)} x={x} lines={drawn} height={HEIGHT} unit={label(evidence.y.label, shownY.label)} formatX={formatX} range={range} />
      <p class="quiet axis-name">Across: {label(evidence.x.label, shownX.label)}</p>
      <NumbersBehind x={x} lines={drawn} xLabel={label(evidence.x.label, shownX.label)} formatX={formatX} />
    </>
  );
}
