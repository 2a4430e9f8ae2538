import type { Evidence, HistogramEvidence, TableEvidence, XyEvidence } from '../../../shared/evidence.ts';
import type { Consequence } from '../../../shared/finding.ts';
import { formatNumber, quantity } from '../../../shared/text.ts';
import { cautions } from '../cautions.ts';
import type { FindingDraft } from '../detector.ts';
import { intendedRate } from '../run-flow/cost.ts';
import type { DrillView } from '../run-flow/run-cases.ts';
import { percent } from '../run-flow/story.ts';
import type { DelayEstimate } from './delay-estimate.ts';
import { enteredDelay, sectionWidth, type DelayStudy, type SectionTimingContext } from './delay-study.ts';

/** Off for certain, right for certain, or open: the whole interval counts, in metres at the working speed (design 7, guard band). */
export type DelayVerdict = 'act' | 'watch' | 'fine' | 'open';

export function delayVerdict({ value, low, high }: DelayEstimate, entered: number, speed: number, { goodMetres, actMetres }: { readonly goodMetres: number; readonly actMetres: number }): DelayVerdict {
  const reach = Math.max(high - value, value - low) * speed;
  const off = Math.abs(value - entered) * speed;
  if (off - reach > actMetres) return 'act';
  if (off - reach > goodMetres) return 'watch';
  return off + reach <= actMetres ? 'fine' : 'open';
}

/** Findings for all sections together, and for a section that is off by itself. */
export function delayFindings(context: SectionTimingContext, view: DrillView, studies: readonly DelayStudy[]): readonly FindingDraft[] {
  return studies.flatMap((study) => {
    const { all, on, sections, speed } = study;
    const entered = enteredDelay(context, on);
    const drafts: FindingDraft[] = [];
    const isOff = (delay: DelayEstimate, setting: number | undefined): boolean => setting !== undefined && delay.n >= context.options.fewestForFinding && ['act', 'watch'].includes(delayVerdict(delay, setting, speed, context.options));
    if (all !== undefined && entered !== undefined && isOff(all, entered)) drafts.push(delayFinding(context, view, studies, study, all, entered));
    for (const { section, delay } of sections) {
      const setting = enteredDelay(context, on, section);
      const hasOwn = context.setup.machine.delays?.sections.has(section) === true;
      const isOdd = all !== undefined && Math.abs(delay.value - all.value) > context.options.oddSection && Math.abs(delay.value - (setting ?? delay.value)) > Math.abs(all.value - (setting ?? all.value));
      if (setting !== undefined && (hasOwn || isOdd) && isOff(delay, setting)) drafts.push(delayFinding(context, view, studies, study, delay, setting, section));
    }
    return drafts;
  });
}

function delayFinding(context: SectionTimingContext, view: DrillView, studies: readonly DelayStudy[], study: DelayStudy, delay: DelayEstimate, entered: number, section?: string): FindingDraft {
  const { say, options } = context;
  const { on, speed, units, towers, distance, edges } = study;
  const seconds = (value: number, digits = 1): string => `${formatNumber(value, digits)} s`;
  /* Flow that comes later than the controller thinks starts late; it was told to allow `entered`. */
  const late = delay.value > entered;
  const metres = Math.abs(delay.value - entered) * speed;
  const spread = towers.map((tower) => tower.delay.value);
  const slots = {
    which: say(on ? 'on' : 'off'), section: section ?? '', value: seconds(delay.value), exact: seconds(delay.value, 2), entered: seconds(entered), n: String(delay.n), low: seconds(delay.low, 2), high: seconds(delay.high, 2),
    speed: quantity.speed(speed), metres: quantity.length(metres), side: say(late ? 'late' : 'early'),
    least: seconds(Math.min(...spread)), most: seconds(Math.max(...spread)), allowed: seconds(mean(edges.map(({ airAdded }) => airAdded)), 2),
    slope: seconds(distance?.slope.value ?? 0, 2), intercept: quantity.length(distance?.intercept.value ?? 0), interceptLow: quantity.length(distance?.intercept.low ?? 0), interceptHigh: quantity.length(distance?.intercept.high ?? 0),
  };
  const isTime = distance !== undefined && distance.intercept.low < options.goodMetres && distance.intercept.high > -options.goodMetres;
  const times = edges.filter((edge) => section === undefined || edge.section === section).map(({ time }) => time);
  const span = { start: Math.min(...times), end: Math.max(...times) };
  return {
    code: on ? 'section.delay-on' : 'section.delay-off', subject: section === undefined ? 'all' : `section.${section}`,
    severity: delayVerdict(delay, entered, speed, options) === 'act' ? 'action' : 'watch',
    verdict: isTime ? 'proved' : 'consistent',
    title: say(section === undefined ? 'delayTitle' : 'delaySectionTitle', slots), span, episodes: [span],
    measure: { value: delay.value, low: delay.low, high: delay.high, unit: 's', expected: entered },
    consequence: costOf(context, view, study, delay, entered, section),
    correction: { setting: say(section === undefined ? 'setting' : 'settingSection', slots), old: `${entered} s`, new: `${formatNumber(delay.value, 1)} s` },
    explanation: [
      say('delayWhy', slots), say(on ? (late ? 'onLate' : 'onEarly') : (late ? 'offLate' : 'offEarly')),
      ...(section === undefined && spread.length > 1 ? [say('towersWhy', slots)] : []),
      ...(mean(edges.map(({ airAdded }) => airAdded)) > 0.02 ? [say('fanDips', slots)] : []),
      say(distance === undefined ? 'speedEven' : isTime ? 'speedGrows' : 'speedDistance', slots),
    ].join(' '),
    excludes: [say('notSlow', { most: percent(options.mostSpeed) }), say('notGeometry'), ...(isTime ? [say('notOffset')] : [])],
    cannotTell: say('delayCannot'), decidingCheck: say('delayCheck'), cautions: [cautions.K1, cautions.K3, cautions.K4, cautions.K9, cautions.K10],
    channels: [...new Set(edges.map((edge) => `section.${edge.section}.on`)), ...view.log.runs.map(({ channel }) => channel)],
    evidence: [responsePicture(context, studies), histogram(context, study, delay, entered, section), towerTable(context, studies), ...(distance === undefined ? [] : [wayPicture(context, study, units)])],
  };
}

/** Every commanded edge of the day was off by this much, also those that could not be measured. */
function costOf(context: SectionTimingContext, view: DrillView, { on, speed }: DelayStudy, delay: DelayEstimate, entered: number, section?: string): Consequence {
  const { say, episodes, timeline } = context;
  const edges = episodes.switches.filter((edge) => edge.on === on && (section === undefined || edge.section === section));
  const metres = Math.abs(delay.value - entered) * speed;
  const widths = edges.map((edge) => sectionWidth(context, view, edge.section));
  if (widths.includes(undefined)) return { text: say('costLength', { metres: quantity.length(metres) }) };
  const area = metres * widths.reduce<number>((sum, width) => sum + (width ?? 0), 0);
  const overlaps = on === delay.value < entered;
  const rate = intendedRate(context, { start: 0, end: timeline.length });
  const slots = { area: quantity.area(area), n: String(edges.length), mass: quantity.mass(area * (rate ?? 0)) };
  return {
    areaHa: area / 1e4, ...(rate === undefined ? {} : { massKg: (overlaps ? 1 : -1) * area * rate }),
    text: say(`${overlaps ? 'costOverlap' : 'costMiss'}${rate === undefined ? 'NoMass' : ''}` as const, slots),
  };
}

function responsePicture({ say }: SectionTimingContext, studies: readonly DelayStudy[]): XyEvidence {
  return {
    kind: 'xy', title: say('responseTitle'), x: { label: say('lagLabel'), unit: 's' }, y: { label: say('shareLabel'), unit: '1' }, lines: [],
    series: studies.filter(({ all }) => all !== undefined).map(({ on, all, shape }) => ({
      label: say(on ? 'responseOn' : 'responseOff'), role: on ? 'subject' as const : 'witness' as const, style: 'line' as const,
      x: shape.lag.map((lag) => rounded(lag + (all?.value ?? 0) - (shape.form?.halfFlow ?? shape.halfFlow))), y: shape.share.map((share) => (Number.isNaN(share) ? null : rounded(share))),
    })),
  };
}

function histogram({ say }: SectionTimingContext, { on, units, shape }: DelayStudy, delay: DelayEstimate, entered: number, section?: string): HistogramEvidence {
  const values = units.flatMap((unit) => {
    const own = unit.filter((edge) => section === undefined || edge.section === section);
    return own.length === 0 ? [] : [mean(own.map((edge) => edge.delay)) + shape.halfFlow];
  });
  const width = 0.1;
  const low = Math.floor(Math.min(entered, ...values) / width) - 1;
  const high = Math.ceil(Math.max(entered, ...values) / width) + 1;
  const counts = Array.from({ length: high - low }, (_, b) => values.filter((value) => Math.floor(value / width) - low === b).length);
  return {
    kind: 'histogram', title: say('histogramTitle', { which: say(on ? 'on' : 'off') }), label: say('histogramLabel'), unit: 's',
    edges: Array.from({ length: counts.length + 1 }, (_, b) => rounded((low + b) * width)), counts,
    levels: [{ label: say('measured'), value: rounded(delay.value) }, { label: say('enteredLevel'), value: entered }],
  };
}

export function towerTable({ say }: SectionTimingContext, studies: readonly DelayStudy[]): TableEvidence {
  const names = [...new Set(studies.flatMap(({ towers }) => towers.map(({ tower }) => tower)))];
  const of = (on: boolean, name: string): DelayEstimate | undefined => studies.find((study) => study.on === on)?.towers.find(({ tower }) => tower === name)?.delay;
  return {
    kind: 'table', title: say('towerTable'),
    columns: [{ label: say('columnTower') }, { label: say('columnOn'), unit: 's', digits: 2 }, { label: say('columnOff'), unit: 's', digits: 2 }, { label: say('columnCount'), digits: 0 }],
    rows: names.map((name) => [name, of(true, name)?.value ?? null, of(false, name)?.value ?? null, (of(true, name)?.n ?? 0) + (of(false, name)?.n ?? 0)]),
  };
}

function wayPicture({ say }: SectionTimingContext, { shape, distance }: DelayStudy, units: DelayStudy['units']): Evidence {
  const points = units.map((unit) => ({ speed: mean(unit.map((edge) => edge.speed)), way: mean(unit.map((edge) => edge.speed * (edge.delay + shape.halfFlow))) })).filter(({ speed }) => speed > 0);
  return {
    kind: 'xy', title: say('wayTitle'), x: { label: say('speedLabel'), unit: 'm/s' }, y: { label: say('wayLabel'), unit: 'm' },
    series: [{ label: say('wayPoints'), role: 'subject', style: 'points', x: points.map(({ speed }) => rounded(speed)), y: points.map(({ way }) => rounded(way)) }],
    lines: [{ label: say('wayLine'), slope: distance?.slope.value ?? 0, intercept: distance?.intercept.value ?? 0 }],
  };
}

const mean = (values: readonly number[]): number => values.reduce((sum, value) => sum + value, 0) / values.length;
const rounded = (value: number): number => Math.round(value * 1000) / 1000;
