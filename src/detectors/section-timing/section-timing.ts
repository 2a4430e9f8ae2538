import type { Measurement } from '../../../shared/finding.ts';
import { formatNumber, quantity } from '../../../shared/text.ts';
import { defineDetector, type DetectorOutcome } from '../detector.ts';
import { drillView } from '../run-flow/drill-view.ts';
import type { DelayEstimate } from './delay-estimate.ts';
import { delayFindings, delayVerdict } from './delay-findings.ts';
import { delayStudy, enteredDelay, type DelayStudy, type SectionTimingContext } from './delay-study.ts';
import { meterSpeedOf, sectionRuns, usableEdges } from './edges.ts';
import { sectionTimingMessages } from './messages.ts';
import { sectionTimingOptions } from './options.ts';
import { stuckFindings } from './stuck-findings.ts';

export const sectionTiming = defineDetector({
  meta: {
    id: 'section-timing',
    title: 'Section commands against the flow',
    docs: {
      what: 'How long after an ON or OFF command the flow follows, per section and tower, against what is entered; sections that do not follow at all, or follow another one\'s commands.',
      why: 'Section control switches ahead of the boundary by the delays entered. A second wrong is 2.2 m at 8 km/h, double seeded or bare, at every entry and exit.',
      how: 'Delay by area, ∫(1 − flow ÷ steady) dt from the command, with counts per metre at the time they were metered; edges with another command within 12 s, with more than 15 % change of speed or too little steady flow are left out. All edges laid over each other give the response in tenths of a second and with it the step from area to half flow. Sections are summed up by medians, the interval by resampling crossings. Way from command to flow regressed on speed tells a time from a distance.',
      fooledBy: 'Clocks of command and count log that differ, loggers that stamp a count at the end of its second, sensors far above the opener, feedback logged instead of commands.',
      source: 'trade.md d.1–d.3 (computed, and common practice); checks.md 8.3 D4 (half flow, medians, T/√12); good within 1 m, act beyond 2 m: common practice, no source.',
    },
    codes: ['section.delay-on', 'section.delay-off', 'section.stuck'],
    requires: ['section.*.on', 'run.*.count'],
    messages: sectionTimingMessages,
  },
  defaults: sectionTimingOptions,
  detect,
});

function detect(context: SectionTimingContext): DetectorOutcome {
  const { say, options } = context;
  const view = drillView(context);
  const sections = sectionRuns(context, view);
  if (sections.length === 0) return { status: 'not-set-up', why: say('noSections') };
  for (const finding of stuckFindings(context, view)) context.report(finding);
  const edges = usableEdges(context, sections, options);
  const studies = [true, false].map((on) => delayStudy(sections, edges, on, meterSpeedOf(context), options));
  for (const study of studies) for (const measurement of measurementsOf(study)) context.measure(measurement);
  const known = studies.filter(({ all }) => all !== undefined);
  if (known.length === 0) {
    return { status: 'too-little-data', why: say('fewEdges', { n: String(Math.max(...studies.map(({ units }) => units.length))), needed: String(options.fewestCrossings) }) };
  }
  for (const finding of delayFindings(context, view, studies)) context.report(finding);
  return { status: 'ran', why: checkReport(context, studies) };
}

function measurementsOf({ on, all, sections, towers }: DelayStudy): readonly Measurement[] {
  const name = on ? 'section.on-delay' : 'section.off-delay';
  const measurement = (subject: string, { value, low, high, n }: DelayEstimate): Measurement => ({ name, subject, value, low, high, unit: 's', n });
  if (all === undefined) return [];
  return [measurement('all', all), ...sections.map(({ section, delay }) => measurement(`section.${section}`, delay)), ...towers.map(({ tower, delay }) => measurement(`tower.${tower}`, delay))];
}

function checkReport(context: SectionTimingContext, studies: readonly DelayStudy[]): string {
  const { say, options } = context;
  const text = (on: boolean): string => {
    const all = studies.find((study) => study.on === on)?.all;
    return all === undefined ? '–' : `${formatNumber(all.value, 2)} s (${formatNumber(all.low, 2)} to ${formatNumber(all.high, 2)} s)`;
  };
  const slots = { on: text(true), off: text(false), metres: quantity.length(options.actMetres, 0) };
  const verdicts = studies.flatMap(({ on, all, speed }) => {
    const entered = enteredDelay(context, on);
    return all === undefined || entered === undefined ? [] : [delayVerdict(all, entered, speed, options)];
  });
  if (verdicts.length === 0) return `${say('measuredOnly', slots)} ${say('notEntered')}`;
  return verdicts.every((verdict) => verdict === 'fine') ? say('fine', slots) : verdicts.includes('open') ? say('unsure', slots) : say('measuredOnly', slots);
}
