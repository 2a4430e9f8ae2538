import { useMemo } from 'preact/hooks';
import type { TraceEvidence } from '../../../shared/evidence.ts';
import { formatClock, renderText, shownUnit, type Reading } from '../../../shared/text.ts';
import { Plot, type Ticks } from '../../plot/plot.tsx';
import { clockSeconds } from '../../plot/show-value.ts';
import { timeTicks } from '../../plot/time-ticks.ts';
import { reading } from '../../state.ts';
import { aligned } from './aligned.ts';
import { NumbersBehind } from './numbers-behind.tsx';
import { plotLines } from './plot-lines.ts';
import { themeTurns } from '../../plot/palette.ts';

const HEIGHT = 250;

/** Clock times of an x axis in the day's zone; seconds only where they matter. */
export function clockTicks(clock: Reading): (from: number, to: number, most: number) => Ticks {
  return (from, to, most) => {
    const { step, times } = timeTicks({ from, to }, most, clockSeconds(0, clock));
    return { at: times, label: (time) => (step >= 60 ? formatClock(time + 1e-6, clock).slice(0, 5) : formatClock(time + 1e-6, clock)) };
  };
}

/** Something over time, the finding's own stretches shaded. */
export function TracePicture({ evidence }: { readonly evidence: TraceEvidence }) {
  const clock = reading.value;
  const shown = shownUnit(evidence.unit, clock.units);
  const { x, lines } = useMemo(() => aligned(evidence.series, shown.convert), [evidence, clock.units]);
  const drawn = useMemo(() => plotLines(lines), [lines, themeTurns.value]);
  const ticks = useMemo(() => clockTicks(clock), [clock]);
  const formatX = (time: number): string => formatClock(time, clock);
  return (
    <>
      <Plot name={renderText(evidence.title, clock)} x={x} lines={drawn} height={HEIGHT} unit={shown.label} formatX={formatX} ticks={ticks}
        range={{ from: evidence.span.start, to: evidence.span.end }} shaded={evidence.shaded} levels={evidence.levels.map((level) => ({ label: renderText(level.label, clock), value: shown.convert(level.value) }))} />
      <NumbersBehind x={x} lines={drawn} xLabel="time" formatX={formatX} />
    </>
  );
}
