import { useMemo } from 'preact/hooks';
import { useComputed, useSignal } from '@preact/signals';
import { useEffect, useRef } from 'preact/hooks';
import type { DayView, FindingView } from '../../../shared/api.ts';
import { renderText } from '../../../shared/text.ts';
import { gutterOf, RIGHT, xOf } from '../../plot/stage-geometry.ts';
import { drawnRange, placeCursor, setRange } from '../../plot/time-view.ts';
import { address, go, reading } from '../../state.ts';
import { SEVERITY_WORDS } from '../findings/wording.ts';

const ROW = 28;
const LEAST_WIDTH = 26;
/** Shapes as the second cue beside colour. */
export const SEVERITY_SIGN: Readonly<Record<FindingView['severity'], string>> = { action: '▲', watch: '◆', info: '●' };

/** The findings where they happened, as buttons; the chosen one said in words below. */
export function FindingsLane({ view }: { readonly view: DayView }) {
  const place = useRef<HTMLDivElement>(null);
  const width = useSignal(0);
  useEffect(() => {
    const element = place.current;
    if (element === null) return undefined;
    const watcher = new ResizeObserver(() => { width.value = element.clientWidth; });
    watcher.observe(element);
    return () => watcher.disconnect();
  }, []);
  const range = drawnRange.value;
  const say = (text: string): string => renderText(text, reading.value);
  const bars = useMemo(() => barsOf(view.findings, range, width.value), [view, range.from, range.to, width.value]);
  const chosenId = useComputed(() => address.value.finding).value;
  const chosen = view.findings.find(({ id }) => id === chosenId);
  if (view.findings.length === 0) return null;
  return (
    <div class="lane findings-lane" data-lane="findings">
      <div class="lane-head">
        <strong>Findings</strong>
        {(['action', 'watch', 'info'] as const).filter((severity) => view.findings.some((finding) => finding.severity === severity)).map((severity) => (
          <span key={severity} class={`key ${severity}`}><span class="severity" aria-hidden="true">{SEVERITY_SIGN[severity]}</span>{SEVERITY_WORDS[severity].replace(':', '').toLowerCase()}</span>
        ))}
      </div>
      <div ref={place} class="finding-bars" style={{ height: `${Math.max(1, ...bars.map(({ row }) => row + 1)) * ROW}px` }}>
        {bars.map(({ finding, left, width: wide, row }) => (
          <button type="button" key={finding.id} class={`finding-bar ${finding.severity}`} data-own-pointer aria-pressed={finding.id === chosenId} title={say(finding.title)}
            style={{ left: `${left}px`, width: `${wide}px`, top: `${row * ROW + 1}px` }}
            onClick={() => {
              go({ finding: finding.id }, 'replace');
              placeCursor(finding.span.start);
            }}>
            <span aria-hidden="true">{SEVERITY_SIGN[finding.severity]}</span> <span class="words">{say(finding.title)}</span>
          </button>
        ))}
      </div>
      {chosen !== undefined && <Chosen view={view} finding={chosen} />}
    </div>
  );
}

function Chosen({ view, finding }: { readonly view: DayView; readonly finding: FindingView }) {
  const say = (text: string): string => renderText(text, reading.value);
  return (
    <div class={`chosen ${finding.severity}`} data-own-pointer>
      <p><span class="severity">{SEVERITY_WORDS[finding.severity]}</span> {say(finding.title)}</p>
      <div class="row tight">
        <button type="button" class="small" onClick={() => setRange(around(finding, view.duration))}>Look closer</button>
        <button type="button" class="small" onClick={() => go({ reading: 'fix', finding: finding.id })}>Why, and what to do</button>
        <button type="button" class="small" onClick={() => go({ channels: [...new Set([...address.value.channels, ...finding.channels])].slice(0, 8) })}>Add its channels</button>
        <button type="button" class="small" onClick={() => go({ finding: undefined }, 'replace')}>Close</button>
      </div>
    </div>
  );
}

/** The finding with at least a fifth of the view on either side. */
export function around({ span }: FindingView, duration: number): { readonly from: number; readonly to: number } {
  const margin = Math.max(30, (span.end - span.start) * 0.4);
  return { from: Math.max(0, span.start - margin), to: Math.min(duration, span.end + margin) };
}

interface Bar {
  readonly finding: FindingView;
  readonly left: number;
  readonly width: number;
  readonly row: number;
}

/** Bars over their stretch, wide enough to be hit, on as few rows as keep them apart. */
function barsOf(findings: readonly FindingView[], range: { readonly from: number; readonly to: number }, width: number): readonly Bar[] {
  if (width === 0) return [];
  const ends: number[] = [];
  return findings.filter(({ span }) => span.end >= range.from && span.start <= range.to)
    .toSorted((a, b) => a.span.start - b.span.start)
    .map((finding) => {
      const first = Math.max(gutterOf(width), xOf(finding.span.start, range, width));
      const last = Math.min(width - RIGHT, xOf(finding.span.end, range, width));
      const wide = Math.max(LEAST_WIDTH, last - first);
      const left = Math.max(gutterOf(width), Math.min(first, width - RIGHT - wide));
      let row = ends.findIndex((end) => end + 2 <= left);
      if (row < 0) row = ends.length;
      ends[row] = left + wide;
      return { finding, left, width: wide, row };
    });
}
