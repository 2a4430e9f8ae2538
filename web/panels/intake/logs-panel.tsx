import type { DayView } from '../../../shared/api.ts';
import type { LogSummary } from '../../../shared/day.ts';
import { formatClock, formatDuration, formatNumber, renderText } from '../../../shared/text.ts';
import { reading } from '../../state.ts';
import { shownDate, shownName, shownSize, visible } from '../frame/names.ts';
import { Browse } from './browse.tsx';
import { LogColumns } from './log-columns.tsx';

/** What was read: every log with its format, span and account of bytes; headings that were not understood are given their meaning here. */
export function LogsPanel({ view }: { readonly view: DayView }) {
  const hasUnknown = view.logs.some((log) => (log.unknownColumns ?? []).length > 0);
  return (
    <section class="what-was-read" aria-label="What was read">
      <h2>What was read</h2>
      <p class="lead">{shownDate(view.start, view.zone)}, {formatClock(0, reading.value)} to {formatClock(view.duration, reading.value)} ({view.zone}), {formatDuration(view.duration, 0)}, {view.channels.length} channels.</p>
      <Browse />
      {hasUnknown && <LogColumns day={view.id} revision={view} />}
      {view.logs.map((log) => <LogSheet key={log.file + log.sha256} log={log} />)}
    </section>
  );
}

function LogSheet({ log }: { readonly log: LogSummary }) {
  const { zone, dayStart } = reading.value;
  const clock = (at: number): string => (Number.isFinite(at) ? `${shownDate(at, zone)} ${formatClock(at - dayStart, reading.value)}` : 'no clock in the log');
  return (
    <section class="sheet log">
      <h3><bdi>{shownName(log.file)}</bdi></h3>
      <dl class="facts">
        <dt>Read as</dt><dd>{log.format}, {formatNumber(log.records, 0)} records in {shownSize(log.bytes.total)}</dd>
        <dt>From, to</dt><dd>{clock(log.start)} to {clock(log.end)}{log.clockOffset !== 0 && Number.isFinite(log.start) ? `; its clock was moved by ${formatNumber(log.clockOffset, 3)} s to agree with the others` : ''}</dd>
        <dt>Not usable</dt><dd>{log.badRecords === 0 ? 'nothing' : `${formatNumber(log.badRecords, 0)} records, ${shownSize(log.bytes.rejected)}`}</dd>
        <dt>SHA-256</dt><dd class="words"><code>{log.sha256}</code></dd>
      </dl>
      {log.notes.length > 0 && <ul>{log.notes.map((note) => <li key={note} class="words">{visible(renderText(note, reading.value))}</li>)}</ul>}
      {log.bad.length > 0 && (
        <details>
          <summary>The first {Math.min(50, log.bad.length)} unusable records</summary>
          <div class="scroll" tabIndex={0} role="group" aria-label="Unusable records"><table>
            <thead><tr><th scope="col" class="number">line</th><th scope="col" class="number">byte</th><th scope="col">why</th></tr></thead>
            <tbody>{log.bad.slice(0, 50).map((bad) => <tr key={bad.offset}><td class="number">{bad.line ?? '–'}</td><td class="number">{bad.offset}</td><td>{visible(bad.reason)}</td></tr>)}</tbody>
          </table></div>
        </details>
      )}
    </section>
  );
}
