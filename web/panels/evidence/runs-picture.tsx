import { useEffect, useRef } from 'preact/hooks';
import type { RunsEvidence } from '../../../shared/evidence.ts';
import { formatClock, formatNumber, renderText } from '../../../shared/text.ts';
import { themeColour } from '../../plot/palette.ts';
import { reading } from '../../state.ts';

const ROW_PIXELS = 9;
const LEFT = 46;
const BOTTOM = 24;

/** Every run over time as one picture: a row per run, colour = flow relative to its tower mates. */
export function RunsPicture({ evidence }: { readonly evidence: RunsEvidence }) {
  const canvas = useRef<HTMLCanvasElement>(null);
  const clock = reading.value;
  useEffect(() => {
    const element = canvas.current;
    if (element === null) return undefined;
    const draw = (): void => paint(element, evidence, (time) => formatClock(time, clock));
    draw();
    const watcher = new ResizeObserver(draw);
    watcher.observe(element.parentElement as Element);
    const theme = matchMedia('(prefers-color-scheme: dark)');
    theme.addEventListener('change', draw);
    return () => {
      watcher.disconnect();
      theme.removeEventListener('change', draw);
    };
  }, [evidence, clock]);
  const named = evidence.highlighted.join(', ');
  return (
    <>
      <canvas ref={canvas} class="picture" role="img" tabIndex={0} aria-label={`${renderText(evidence.title, clock)}. ${evidence.runs.length} runs over time${named === '' ? '' : `; marked: run ${named}`}. The numbers are in the table below.`} />
      <p class="quiet">Strong brown = less than the tower mates, faint = the same, blue = more.</p>
      <RunsTable evidence={evidence} />
    </>
  );
}

function paint(element: HTMLCanvasElement, evidence: RunsEvidence, formatTime: (time: number) => string): void {
  const width = Math.max(280, element.parentElement?.clientWidth ?? 600);
  const rows = evidence.runs.length;
  const height = rows * ROW_PIXELS + BOTTOM;
  const ratio = devicePixelRatio;
  element.width = width * ratio;
  element.height = height * ratio;
  element.style.height = `${height}px`;
  const context = element.getContext('2d');
  if (context === null) return;
  context.scale(ratio, ratio);
  const [low, middle, high, ink, shade] = ['--low', '--same', '--high', '--quiet', '--mark'].map(themeColour) as [string, string, string, string, string];
  const first = evidence.time[0] ?? 0;
  const last = evidence.time[evidence.time.length - 1] ?? first + 1;
  const place = (time: number): number => LEFT + ((time - first) / (last - first)) * (width - LEFT - 4);
  evidence.ratio.forEach((cells, row) => cells.forEach((value, cell) => {
    if (value === null) return;
    const x = place(evidence.time[cell] as number);
    context.fillStyle = value < 1 ? mix(middle, low, Math.min(1, 1 - value)) : mix(middle, high, Math.min(1, (value - 1) * 2.5));
    context.fillRect(x, row * ROW_PIXELS, Math.max(1, place(evidence.time[cell + 1] as number) - x + 0.3), ROW_PIXELS - 1);
  }));
  context.font = '11px system-ui, sans-serif';
  context.fillStyle = ink;
  context.textBaseline = 'middle';
  evidence.runs.forEach((run, row) => {
    const isMarked = evidence.highlighted.includes(run);
    const startsTower = evidence.towers[row] !== evidence.towers[row - 1];
    if (isMarked) {
      context.fillStyle = shade;
      context.fillRect(LEFT - 5, row * ROW_PIXELS, 3, ROW_PIXELS - 1);
    }
    context.fillStyle = isMarked ? shade : ink;
    if (isMarked || (startsTower && !evidence.highlighted.some((other) => Math.abs(other - run) < 2))) context.fillText(isMarked ? `run ${run}` : `${evidence.towers[row]} ${run}`, 0, row * ROW_PIXELS + ROW_PIXELS / 2);
  });
  context.fillStyle = ink;
  context.textBaseline = 'alphabetic';
  const ticks = Math.max(2, Math.floor((width - LEFT) / 120));
  for (let i = 0; i < ticks; i++) {
    const time = first + ((last - first) * i) / ticks;
    context.fillText(formatTime(time), place(time), height - 6);
  }
}

/** Between two colours of the theme, `share` of the second. */
function mix(from: string, to: string, share: number): string {
  return `color-mix(in oklab, ${from} ${((1 - share) * 100).toFixed(0)}%, ${to})`;
}

function RunsTable({ evidence }: { readonly evidence: RunsEvidence }) {
  return (
    <details>
      <summary>The numbers: mean over the marked time</summary>
      <div class="scroll">
        <table>
          <thead><tr><th scope="col">run</th><th scope="col">tower</th><th scope="col" class="number">flow ÷ tower mates</th></tr></thead>
          <tbody>
            {evidence.runs.map((run, row) => <tr key={run}><th scope="row">{run}</th><td>{evidence.towers[row]}</td><td class="number">{formatNumber(meanInside(evidence, row), 2)}</td></tr>)}
          </tbody>
        </table>
      </div>
    </details>
  );
}

function meanInside(evidence: RunsEvidence, row: number): number {
  const inside = (evidence.ratio[row] ?? []).filter((value, cell): value is number => value !== null && evidence.shaded.some((span) => (evidence.time[cell] as number) >= span.start && (evidence.time[cell] as number) < span.end));
  return inside.reduce((sum, value) => sum + value, 0) / inside.length;
}
