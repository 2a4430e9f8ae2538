import { formatDuration, formatNumber } from '../../../shared/text.ts';
import { api } from '../../api.ts';
import { address, dayState, notice } from '../../state.ts';
import { toStart } from '../intake/tray.tsx';
import { shownName, shownSize } from './names.ts';

/** ms; the time left is a guess before. */
const GUESS_AFTER = 3000;

/** While a day is read: how far, how fast, how long still, and a way out. */
export function Waiting() {
  const state = dayState.value;
  const cancel = async (): Promise<void> => {
    const { day } = address.value;
    toStart();
    notice.value = 'Cancelled. Nothing of the day was kept.';
    if (day !== undefined) await api.close(day).catch(() => undefined);
  };
  return (
    <section class="intake waiting" aria-busy="true">
      <h2>{state === undefined ? 'Opening the day…' : state.status === 'judging' ? 'Looking for what went wrong…' : 'Reading the logs…'}</h2>
      {state?.status === 'reading' && <Progress file={state.file} bytes={state.bytes} total={state.total} milliseconds={state.startedMillisecondsAgo} />}
      {state?.status === 'judging' && <><progress aria-label="Judging the day" /><p class="quiet">Everything is read; every check now looks at the whole day.</p></>}
      <div class="row"><button type="button" onClick={() => void cancel()}>Cancel</button></div>
    </section>
  );
}

function Progress({ file, bytes, total, milliseconds }: { readonly file: string; readonly bytes: number; readonly total: number; readonly milliseconds: number }) {
  const rate = bytes / Math.max(0.05, milliseconds / 1000);
  const left = total > bytes && rate > 0 ? (total - bytes) / rate : undefined;
  const name = shownName(file);
  return (
    <>
      <progress {...(total > 0 ? { value: Math.min(1, bytes / total) } : {})} aria-label={`Reading ${name}`} />
      <p class="quiet"><bdi>{name}</bdi>: {shownSize(bytes)}{total > 0 ? ` of ${shownSize(total)}, ${formatNumber((100 * bytes) / total, 0)} %` : ''}, {shownSize(rate)}/s{left !== undefined && milliseconds > GUESS_AFTER ? `, ${formatDuration(Math.ceil(left), 0)} left` : ''}</p>
    </>
  );
}
