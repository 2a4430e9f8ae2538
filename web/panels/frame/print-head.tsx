import type { DayView } from '../../../shared/api.ts';
import { formatClock } from '../../../shared/text.ts';
import { reading } from '../../state.ts';
import { shownDate, shownName } from './names.ts';

/** Stands only on paper: which day, which logs, told by their content. */
export function PrintHead({ view }: { readonly view: DayView }) {
  return (
    <div class="on-paper">
      <p><strong>Sowtrace</strong>, {shownDate(view.start, view.zone)}, {formatClock(0, reading.value)} to {formatClock(view.duration, reading.value)} ({view.zone})</p>
      {view.logs.map((log) => <p key={log.sha256}>{shownName(log.file)}, SHA-256 {log.sha256}</p>)}
    </div>
  );
}
