import { useEffect, useState } from 'preact/hooks';
import type { DayListing } from '../../../shared/api.ts';
import { formatClock, formatDuration } from '../../../shared/text.ts';
import { ServerError, api } from '../../api.ts';
import { address, awayFromDay, go } from '../../state.ts';
import { shownDate, shownName } from '../frame/names.ts';

const ASK_AGAIN_MILLISECONDS = 3000;

/** Other days this server still holds, the newest first; opened again by a click, without reading. */
export function RecentDays() {
  const [days, setDays] = useState<readonly DayListing[]>();
  const [isGone, setGone] = useState(false);
  useEffect(() => {
    let timer = 0;
    const fetchThem = async (): Promise<void> => {
      try {
        setDays(await api.days());
        setGone(false);
      } catch (error) {
        if (error instanceof ServerError) setGone(true);
      }
      timer = window.setTimeout(() => void fetchThem(), ASK_AGAIN_MILLISECONDS);
    };
    void fetchThem();
    return () => clearTimeout(timer);
  }, []);
  if (isGone) return <p class="quiet" role="alert">Sowtrace does not answer, so days that are open cannot be listed. Start it again with sowtrace view.</p>;
  const others = days?.filter(({ id }) => id !== address.value.day) ?? [];
  if (others.length === 0) return null;
  return (
    <section aria-labelledby="recent">
      <h3 id="recent">Still open</h3>
      <ul class="recent">
        {others.map((day) => (
          <li key={day.id}>
            <button type="button" onClick={() => go({ ...awayFromDay, day: day.id, reading: 'fix' })}>
              <strong>{whenWas(day)}</strong>
              <span class="quiet">{shownName(day.name)}</span>
              <span>{standing(day)}</span>
            </button>
          </li>
        ))}
      </ul>
    </section>
  );
}

function whenWas({ start, duration, zone, openedMillisecondsAgo }: DayListing): string {
  if (start === undefined || duration === undefined || zone === undefined) return `Opened ${formatDuration(Math.round(openedMillisecondsAgo / 1000), 0)} ago`;
  const reading = { units: 'metric', zone, dayStart: start } as const;
  return `${shownDate(start, zone)}, ${formatClock(0, reading).slice(0, 5)} to ${formatClock(duration, reading).slice(0, 5)}`;
}

function standing({ status, actions = 0, watches = 0 }: DayListing): string {
  if (status === 'reading') return 'being read';
  if (status === 'judging') return 'being judged';
  if (status === 'failed') return 'could not be read';
  return actions + watches === 0 ? 'nothing to do' : `${actions} to put right, ${watches} to keep an eye on`;
}
