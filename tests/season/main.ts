import { history, type History } from '../../src/season/history.ts';
import { historyText } from '../../src/season/history-text.ts';
import type { SeasonDay } from '../../src/season/season-series.ts';
import { statisticalSeason } from './statistical-season.ts';
import { worldDay, type WorldSeasonPlan } from './world-season.ts';

/*
 * node dist/tests/season/main.js            forty synthetic days with a slow wheel drift and a scale step, and forty without
 * node dist/tests/season/main.js alarms N   share of N quiet statistical seasons that raise a false alarm
 */
const DAYS = 40;
const [what = 'days', count = '400'] = process.argv.slice(2);
if (what === 'alarms') countAlarms(Number(count));
else compareSeasons();

function compareSeasons(): void {
  const quiet: WorldSeasonPlan = { days: DAYS, seed: 2, wheel: () => 1, scale: () => 1, entered: () => 20 };
  const loud: WorldSeasonPlan = { ...quiet, seed: 1, wheel: (day) => 1 - (0.01 * day) / (DAYS - 1), scale: (day) => (day < 22 ? 1 : 0.98), entered: (day) => (day < 10 ? 18.8 : 20) };
  const seasons = [run('loud', loud), run('quiet', quiet)] as const;
  const status = (season: History, name: string): string => season.series.find(({ series }) => series.name === name)?.status ?? 'not there';
  const passed = status(seasons[0], 'wheel.ratio') === 'moved' && status(seasons[0], 'scale.span') === 'moved'
    && seasons[0].series.filter(({ status: is }) => is === 'moved').length === 2 && seasons[1].series.every(({ status: is }) => is !== 'moved');
  process.stdout.write(passed ? 'both found, the quiet season quiet\n' : 'NOT as planned\n');
  process.exitCode = passed ? 0 : 1;
}

function run(name: string, plan: WorldSeasonPlan): History {
  const started = performance.now();
  const days: SeasonDay[] = [];
  for (let day = 0; day < plan.days; day++) days.push(worldDay(plan, day));
  const season = history('Drill D60', days);
  process.stdout.write(`\n== ${name}: ${plan.days} days in ${((performance.now() - started) / 1000).toFixed(0)} s\n\n${historyText(season, 'metric')}`);
  return season;
}

function countAlarms(seasons: number): void {
  for (const between of [0, 1, 3]) {
    let loud = 0;
    let large = 0;
    for (let seed = 1; seed <= seasons; seed++) {
      const { series } = history('Drill D60', statisticalSeason({ seed, between }));
      if (series.some(({ status }) => status === 'moved' || status === 'moved-little')) loud += 1;
      if (series.some(({ status }) => status === 'moved')) large += 1;
    }
    process.stdout.write(`spread between days ${between} times a day's own: ${loud} of ${seasons} quiet seasons raise a false alarm, ${large} of a size that matters\n`);
  }
}
