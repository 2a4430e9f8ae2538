import { formatDuration, formatNumber } from '../../../shared/text.ts';
import { api } from '../../api.ts';
import { address, dayState, go } from '../../state.ts';

/** While a day is read: how far, how fast, how long still, and a way out. */
export function Waiting() {
  const state = dayState.value;
  const cancel = async (): Promise<void> => {
    const { day } = address.value;
    go({ day: undefined });
    if (day !== undefined) await api.close(day);
  };
  return (
    <section class="intake" aria-busy="true">
      <h2>{state?.status === 'judging' ? 'Looking for what went wrong…' : 'Reading the logs…'}</h2>
      {state?.status === 'reading' && <Progress file={state.file} bytes={state.bytes} total={state.total} milliseconds={state.startedMillisecondsAgo} />}
      <div class="row"><button type="button" onClick={() => void cancel()}>Cancel</button></div>
    </section>
  );
}

function Progress({ file, bytes, total, milliseconds }: { readonly file: string; readonly bytes: number; readonly total: number; readonly milliseconds: number }) {
  const rate = bytes / Math.max(1, milliseconds / 1000);
  const left = total > bytes && rate > 0 ? (total - bytes) / rate : undefined;
  return (
    <>
      <progress value={total > 0 ? Math.min(1, bytes / total) : undefined} aria-label={`Reading ${file}`} />
      <p class="quiet">{file}: {formatNumber(bytes / 1e6, 1)} MB{total > 0 ? ` of ${formatNumber(total / 1e6, 1)} MB` : ''}, {formatNumber(rate / 1e6, 0)} MB/s{left !== undefined && milliseconds > 3000 ? `, ${formatDuration(left, 0)} left` : ''}</p>
    </>
  );
}
