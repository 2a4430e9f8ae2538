import type { Finding } from '../../shared/finding.ts';
import { parseSetup } from '../../shared/setup-file.ts';
import { analyse } from '../../src/analyse.ts';
import type { SeasonDay } from '../../src/season/season-series.ts';
import { workday, faultTruth } from '../support/world/days/workday.ts';
import type { DayPlan } from '../support/world/plan.ts';
import { buildWorld } from '../support/world/simulate.ts';
import { listingOf } from './statistical-season.ts';

/** What is true of a season of synthetic days, by day. */
export interface WorldSeasonPlan {
  readonly days: number;
  readonly seed: number;
  /** Pulses against the usual wheel's, ratio. */
  readonly wheel: (day: number) => number;
  /** Shown against true weight, ratio. */
  readonly scale: (day: number) => number;
  /** pulses/m as entered. */
  readonly entered: (day: number) => number;
}

/** 2 h of wheat, about 22 ha: two fills with tickets and some 17 passes, as short as a day can be that measures wheel, scale, kg per turn and delays. */
const SHORT_DAY: Pick<DayPlan, 'from' | 'to' | 'agenda'> = {
  from: '08:00', to: '10:10',
  agenda: [
    { do: 'park', until: '08:12', fills: [{ tank: 1, mass: 3500, at: '08:02', minutes: 8 }] },
    { do: 'seed', until: '08:55' },
    { do: 'park', until: '09:10', fills: [{ tank: 1, mass: 1500, at: '08:58', minutes: 5 }] },
    { do: 'seed', until: '10:05' },
    { do: 'park', until: '10:10' },
  ],
};

/** One synthetic day, judged as any log is, as a store would give it back. The world itself is let go. */
export function worldDay(season: WorldSeasonPlan, day: number): SeasonDay {
  const listing = listingOf(day);
  const plan = workday({
    id: `season ${day}`, title: 'a day of a season', truth: faultTruth(() => []), ...SHORT_DAY, date: listing.date,
    entered: { wheelConstant: season.entered(day) },
    faults: [{ kind: 'wheel-factor', factor: season.wheel(day) }, { kind: 'scale-span', tank: 1, factor: season.scale(day) }],
  });
  const world = buildWorld(plan, season.seed * 1000 + day);
  const { setup } = parseSetup(world.setup);
  const { summary, measurements, findings, checks } = analyse({ start: world.dayStart, duration: world.duration, logs: [], channels: world.channels, messages: [], gaps: [] }, setup);
  return { readings: { listing: { ...listing, start: world.dayStart, duration: world.duration }, summary, measurements, checks, findings: findings.map(withoutEvidence) }, setup };
}

function withoutEvidence(finding: Finding): Omit<Finding, 'evidence'> {
  const { evidence: _, ...rest } = finding;
  return rest;
}

export const worldSeason = (season: WorldSeasonPlan): readonly SeasonDay[] => Array.from({ length: season.days }, (_, day) => worldDay(season, day));
