import { renderText } from '../../shared/text.ts';
import { readingOf } from './history-text.ts';
import type { History, SeriesHistory } from './history.ts';
import type { SeriesPoint } from './season-series.ts';

export const HISTORY_SCHEMA = 'sowtrace/history/1';

/** A season as one JSON document: units as measurements carry them, dates of the days' own zones, optional parts left out. */
export function historyDocument(history: History): Record<string, unknown> {
  const say = (text: string): string => renderText(text, readingOf('metric'));
  return {
    schema: HISTORY_SCHEMA,
    machine: history.machine,
    days: history.days.map(({ id, date, zone, start }) => ({ case: id, date, zone, start: new Date(start * 1000).toISOString() })),
    hectares: history.hectares,
    series: history.series.map((entry) => seriesEntry(entry, say)),
    settings: history.settings.map(({ listing, changes }) => ({
      case: listing.id, date: listing.date,
      changes: changes.map(({ name, before, after }) => ({ setting: name, ...(before === undefined ? {} : { before: say(before) }), ...(after === undefined ? {} : { after: say(after) }) })),
    })),
    settingsKnown: history.isSetupKnown,
    recurring: history.recurring,
  };
}

function seriesEntry({ series, status, model, per, drift, limits, p, matters }: SeriesHistory, say: (text: string) => string): Record<string, unknown> {
  const { points } = series;
  const dateAt = (index: number): string => (points[index] as SeriesPoint).listing.date;
  return {
    name: series.name, subject: series.subject, unit: series.unit, status, matters,
    ...(series.condition === '' ? {} : { condition: say(series.condition) }),
    ...(series.note === undefined ? {} : { note: series.note }),
    ...(model === undefined ? {} : {
      first: model.first, last: model.last, betweenDays: model.betweenDays,
      steps: model.steps.map((step) => ({ before: dateAt(step.index - 1), after: dateAt(step.index), earliest: dateAt(step.low), latest: dateAt(step.high), size: step.size })),
      oddDays: model.oddDays.map(({ index, difference }) => ({ date: dateAt(index), difference })),
      ...(status === 'steady' ? {} : { stepOrDrift: model.isAmbiguous ? 'cannot tell' : 'told apart' }),
    }),
    ...(drift === undefined || per === undefined ? {} : { drift: { ...drift, per } }),
    ...(limits === undefined || !Number.isFinite(limits.low) ? {} : { limits }),
    ...(p === undefined ? {} : { p }),
    points: points.map(({ listing, value, low, high, n, hectares }) => ({ case: listing.id, date: listing.date, value, low, high, n, hectares })),
  };
}
