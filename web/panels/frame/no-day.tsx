import type { ErrorReply } from '../../../shared/api.ts';
import { api } from '../../api.ts';
import { refreshDay } from '../../follow-day.ts';
import { address } from '../../state.ts';
import { RecentDays } from '../intake/recent-days.tsx';
import { toStart } from '../intake/tray.tsx';
import { LogColumns } from '../intake/log-columns.tsx';
import { Trouble } from './trouble.tsx';

/** The day in the address cannot be shown: why, and every way on. */
export function NoDay({ reply }: { readonly reply: ErrorReply }) {
  const { day } = address.value;
  const isUnknown = reply.kind === 'not-found';
  const isGone = reply.kind === 'unreachable';
  const shown: ErrorReply = isUnknown
    ? { ...reply, message: 'This day is no longer open.', whatToDo: 'Sowtrace was started anew since, or the day made room for others. Add its logs again: findings, and marks made meanwhile, belong to the logs and not to this address.' }
    : isGone ? { ...reply, whatToDo: 'Start it again with sowtrace view, then add the logs. This page asks on its own whether it is back.' } : reply;
  const close = (): void => {
    toStart();
    if (day !== undefined && !isUnknown && !isGone) void api.close(day).catch(() => undefined);
  };
  return (
    <section class="intake">
      <h2>{isUnknown ? 'This day is not here' : isGone ? 'Sowtrace does not answer' : 'The day could not be read'}</h2>
      <Trouble reply={shown}>
        <button type="button" class="main" onClick={close}>Choose the logs again</button>
        {!isUnknown && <button type="button" onClick={refreshDay}>Try once more</button>}
      </Trouble>
      {day !== undefined && !isUnknown && !isGone && <LogColumns day={day} />}
      {!isGone && <RecentDays />}
    </section>
  );
}
