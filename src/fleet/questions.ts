/** A named question over all kept days: data and standard SQL, so that it can be pasted into any engine. */
export interface FleetQuestion {
  readonly id: string;
  /** What is asked, as people ask it. */
  readonly title: string;
  /** What the answer can and cannot say. */
  readonly note: string;
  /** Over `measurements`, `findings` and `marks`; parameters as `$name`. */
  readonly sql: string;
  readonly parameters: readonly FleetParameter[];
}

export interface FleetParameter {
  readonly name: string;
  readonly help: string;
  readonly preset: string | number;
}

/* `undated` sorts after every date, so that the preset holds all days. */
const PERIOD: readonly FleetParameter[] = [
  { name: 'from', help: 'first day, e.g. 2031-04-01', preset: '' },
  { name: 'to', help: 'last day', preset: 'undated' },
];
const IN_PERIOD = `"date" BETWEEN $from AND $to`;

export const fleetQuestions: readonly FleetQuestion[] = [
  {
    id: 'days',
    title: 'How many days are kept of each machine, and what was found on them?',
    note: 'Hectares by GNSS; days without a position count none.',
    parameters: PERIOD,
    sql: `
WITH kept AS (
  SELECT machine, "case" FROM measurements WHERE ${IN_PERIOD}
  UNION SELECT machine, "case" FROM findings WHERE ${IN_PERIOD}
), work AS (
  SELECT "case", sum(CASE WHEN name = 'area.gnss' THEN value END) AS hectares, sum(CASE WHEN name = 'hours.working' THEN value END) AS hours
  FROM measurements GROUP BY "case"
), found AS (
  SELECT "case", sum(CASE WHEN severity = 'action' THEN 1 ELSE 0 END) AS actions, sum(CASE WHEN severity = 'watch' THEN 1 ELSE 0 END) AS watches
  FROM findings GROUP BY "case"
)
SELECT kept.machine, count(*) AS days, coalesce(sum(work.hectares), 0) AS hectares, coalesce(sum(work.hours), 0) AS hours,
  coalesce(sum(found.actions), 0) AS actions, coalesce(sum(found.watches), 0) AS watches
FROM kept LEFT JOIN work ON work."case" = kept."case" LEFT JOIN found ON found."case" = kept."case"
GROUP BY kept.machine ORDER BY kept.machine`,
  },
  {
    id: 'wheel-moved',
    title: 'Which machines’ wheel moved this season?',
    note: 'The wheel constant that fits, mean of the last three days against the first three, of at least six; half_width is the 95 % interval of that change. sowtrace history says when.',
    parameters: [{ name: 'moved', help: 'share beyond which it is told', preset: 0.01 }, ...PERIOD],
    sql: `
WITH wheel AS (
  SELECT machine, value, (high - low) / 2 AS half,
    row_number() OVER (PARTITION BY machine ORDER BY "date", "case") AS from_first,
    row_number() OVER (PARTITION BY machine ORDER BY "date" DESC, "case" DESC) AS from_last
  FROM measurements
  WHERE name = 'wheel.constant' AND low IS NOT NULL AND high IS NOT NULL AND "date" <> 'undated' AND ${IN_PERIOD}
), ends AS (
  SELECT machine, count(*) AS days,
    avg(CASE WHEN from_first <= 3 THEN value END) AS first_days, avg(CASE WHEN from_last <= 3 THEN value END) AS last_days,
    sqrt(sum(CASE WHEN from_first <= 3 OR from_last <= 3 THEN half * half ELSE 0 END)) / 3 AS half
  FROM wheel GROUP BY machine HAVING count(*) >= 6
)
SELECT machine, days, first_days, last_days, last_days / first_days - 1 AS moved, half / first_days AS half_width
FROM ends WHERE abs(last_days / first_days - 1) > $moved ORDER BY abs(last_days / first_days - 1) DESC, machine`,
  },
  {
    id: 'blocked-runs',
    title: 'Which run is blocked most often?',
    note: 'Runs and towers; days on which it happened, then hours. sowtrace check on a day prints the deciding check and the cautions.',
    parameters: PERIOD,
    sql: `
SELECT machine, subject, count(DISTINCT "case") AS days, count(*) AS times, sum(duration) / 3600.0 AS hours, sum(area_ha) AS hectares
FROM findings WHERE code IN ('run.blocked', 'tower.blocked') AND ${IN_PERIOD}
GROUP BY machine, subject ORDER BY days DESC, hours DESC, machine, subject`,
  },
  {
    id: 'open-actions',
    title: 'Which kept days have something to put right that nobody marked as done?',
    note: 'Findings to act on without a mark "fixed" or "rejected". Before anyone goes to a machine: sowtrace check on the day prints the deciding check and the cautions; the operator’s manual, local rules and trained service people come first.',
    parameters: PERIOD,
    sql: `
SELECT machine, "date", "case", code, subject, title, area_ha AS hectares, mass_kg
FROM findings
WHERE severity = 'action' AND ${IN_PERIOD}
  AND NOT EXISTS (SELECT 1 FROM marks WHERE marks."case" = findings."case" AND marks.finding = findings.id AND marks.state IN ('fixed', 'rejected'))
ORDER BY machine, "date", "case", code, subject`,
  },
  {
    id: 'rate-error',
    title: 'How far off target was the rate, by machine and tank?',
    note: 'Days on which the check proved it off target, out of the days on which a rate could be told; error is applied ÷ target − 1.',
    parameters: PERIOD,
    sql: `
WITH judged AS (
  SELECT machine, subject, count(DISTINCT "case") AS days FROM measurements WHERE name = 'tank.load-for-area' AND ${IN_PERIOD} GROUP BY machine, subject
), off AS (
  SELECT machine, subject, count(DISTINCT "case") AS days, avg(value) - 1 AS error, min(value) - 1 AS lowest, max(value) - 1 AS highest, sum(mass_kg) AS mass_kg
  FROM findings WHERE code = 'rate.off-target' AND ${IN_PERIOD} GROUP BY machine, subject
)
SELECT judged.machine, judged.subject, judged.days, coalesce(off.days, 0) AS days_off, off.error, off.lowest, off.highest, off.mass_kg
FROM judged LEFT JOIN off ON off.machine = judged.machine AND off.subject = judged.subject
ORDER BY days_off DESC, judged.machine, judged.subject`,
  },
  {
    id: 'delays',
    title: 'What delays do the machines have?',
    note: 'All sections of a machine together, s; weighted by each day’s interval.',
    parameters: PERIOD,
    sql: `
SELECT machine, name, count(*) AS days, sum(value / ((high - low) * (high - low))) / sum(1 / ((high - low) * (high - low))) AS mean, min(value) AS shortest, max(value) AS longest
FROM measurements
WHERE name IN ('section.on-delay', 'section.off-delay') AND subject = 'all' AND high > low AND ${IN_PERIOD}
GROUP BY machine, name ORDER BY machine, name DESC`,
  },
  {
    id: 'fan-low',
    title: 'Which fans fell below their floor?',
    note: 'Lowest lasting speed over floor; low when the whole 95 % interval is below 1.',
    parameters: PERIOD,
    sql: `
SELECT machine, subject, count(*) AS days, sum(CASE WHEN high < 1 THEN 1 ELSE 0 END) AS days_low, min(value) AS lowest
FROM measurements WHERE name = 'fan.margin' AND ${IN_PERIOD}
GROUP BY machine, subject ORDER BY days_low DESC, lowest, machine, subject`,
  },
  {
    id: 'scale-off',
    title: 'Which scales are off?',
    note: 'Shown over true weight change by weigh tickets; off when the whole 95 % interval lies further from 1 than `off`.',
    parameters: [{ name: 'off', help: 'share beyond which a scale is off', preset: 0.01 }, ...PERIOD],
    sql: `
SELECT machine, subject, count(*) AS days, sum(CASE WHEN low > 1 + $off OR high < 1 - $off THEN 1 ELSE 0 END) AS days_off, avg(value) AS mean, min(value) AS lowest, max(value) AS highest
FROM measurements WHERE name = 'scale.span' AND ${IN_PERIOD}
GROUP BY machine, subject ORDER BY days_off DESC, machine, subject`,
  },
  {
    id: 'measurement',
    title: 'One measurement on every kept day',
    note: 'Names as sowtrace check --format json gives them.',
    parameters: [{ name: 'name', help: 'which measurement', preset: 'wheel.ratio' }, ...PERIOD],
    sql: `
SELECT machine, "date", "case", subject, value, low, high, unit, n
FROM measurements WHERE name = $name AND ${IN_PERIOD} ORDER BY machine, "date", "case", subject`,
  },
];
