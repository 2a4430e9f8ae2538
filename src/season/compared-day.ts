import type { CaseReadings } from '../../shared/case.ts';
import type { Analysis } from '../../shared/day.ts';
import { emptySetup, type Setup } from '../../shared/setup.ts';
import type { ComparedDay } from './comparison.ts';
import { seasonDay } from './season-series.ts';

/** A day just judged, for comparison. An empty setup is none. */
export function comparedDay({ day, findings, measurements, checks, summary }: Analysis, about: { readonly setup: Setup; readonly zone: string; readonly title: string }): ComparedDay {
  return {
    title: about.title, zone: about.zone, start: day.start, areaHa: summary.areaHa, findings, measurements, checks,
    ...(about.setup === emptySetup ? {} : { setup: about.setup }),
    logs: day.logs.map(({ sha256 }) => sha256),
  };
}

/** A kept day, for comparison. */
export function comparedCase(readings: CaseReadings): ComparedDay {
  const { listing, findings, measurements, checks, summary } = readings;
  const { setup } = seasonDay(readings);
  return {
    title: `${listing.machine}, ${listing.date} (${listing.id})`, zone: listing.zone, start: listing.start, areaHa: summary.areaHa, findings, measurements, checks,
    ...(setup === undefined ? {} : { setup }),
    logs: listing.logs.map(({ sha256 }) => sha256),
  };
}
