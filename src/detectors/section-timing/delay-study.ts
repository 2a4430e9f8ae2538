import type { Channel } from '../../../shared/channel.ts';
import { median } from '../../series/robust.ts';
import type { DetectorContext } from '../detector.ts';
import { countedProducts, rowSpacing } from '../run-flow/cost.ts';
import type { DrillView } from '../run-flow/run-cases.ts';
import { delayEstimate, distanceFit, type DelayEstimate, type DistanceFit } from './delay-estimate.ts';
import { halfFlowEdges } from './half-flow.ts';
import { crossings, typicalSpeed, type Edge, type SectionRuns } from './edges.ts';
import type { SectionTimingMessage } from './messages.ts';
import type { SectionTimingOptions } from './options.ts';
import { responseShape, type ResponseShape } from './response-shape.ts';

export type SectionTimingContext = DetectorContext<SectionTimingMessage, SectionTimingOptions>;

/** All that the day's edges say about one direction. */
export interface DelayStudy {
  readonly on: boolean;
  readonly edges: readonly Edge[];
  readonly units: readonly (readonly Edge[])[];
  readonly shape: ResponseShape;
  readonly all: DelayEstimate | undefined;
  readonly sections: readonly { readonly section: string; readonly delay: DelayEstimate }[];
  readonly towers: readonly { readonly tower: string; readonly delay: DelayEstimate }[];
  readonly distance: DistanceFit | undefined;
  /** m/s at the edges. */
  readonly speed: number;
}

export function delayStudy(sections: readonly SectionRuns[], edges: readonly Edge[], on: boolean, meterSpeed: Pick<Channel, 'time' | 'value'> | undefined, options: SectionTimingOptions): DelayStudy {
  const byArea = calmest(crossings(edges, on), options);
  const response = responseShape(sections, byArea.flat(), on);
  const half = response.form === undefined ? undefined : halfFlowEdges(sections, byArea, response.form, response.forms, meterSpeed);
  const units = half?.units ?? byArea;
  /* Located by the form, edges are at half flow already. */
  const shape = half === undefined ? response : { ...response, halfFlow: 0, uncertain: Math.hypot(response.uncertain, half.uncertainty) };
  const interval = median(sections.flatMap(({ towers }) => towers.flatMap(({ runs }) => runs.map((run) => run.interval))));
  const names = sections.map(({ section }) => section);
  const enough = (estimate: DelayEstimate | undefined): estimate is DelayEstimate => estimate !== undefined && estimate.n >= options.fewestCrossings && Number.isFinite(estimate.low) && Number.isFinite(estimate.high);
  const all = delayEstimate(names, units, (edge, section) => (edge.section === section ? edge.delay : undefined), shape, interval);
  const used = units.flat();
  const own = sections.map(({ section, towers }) => ({ section, towers, delay: delayEstimate([section], units, (edge) => (edge.section === section ? edge.delay : undefined), shape, interval) }));
  return {
    on, edges: used, units, shape, speed: typicalSpeed(used), all: enough(all) ? all : undefined, distance: distanceFit(units, shape.halfFlow, options),
    sections: own.flatMap(({ section, delay }) => (enough(delay) ? [{ section, delay }] : [])),
    towers: own.flatMap(({ section, towers, delay: whole }) => towers.flatMap(({ id }, t) => {
      /* A section of one tower is that tower. */
      const delay = towers.length === 1 ? whole : delayEstimate([id], units, (edge) => (edge.section === section ? edge.towers[t] : undefined), shape, interval);
      return enough(delay) ? [{ tower: id, delay }] : [];
    })),
  };
}

/** Crossings with the fan at its speed, when they are enough by themselves: what a dip does to product under way is not known. */
function calmest(units: readonly (readonly Edge[])[], { fewestForFinding }: SectionTimingOptions): readonly (readonly Edge[])[] {
  const calm = units.filter((unit) => unit.every((edge) => edge.calm));
  return calm.length >= fewestForFinding ? calm : units;
}

/** s as entered: for the section, else for the counted product's tank, else for all. */
export function enteredDelay({ setup }: Pick<SectionTimingContext, 'setup'>, on: boolean, section?: string): number | undefined {
  const { delays } = setup.machine;
  if (delays === undefined) return undefined;
  const tank = countedProducts(setup.job.products)[0]?.tank;
  const own = section === undefined ? undefined : delays.sections.get(section);
  const entered = own ?? (tank === undefined ? undefined : delays.tanks.get(tank)) ?? delays.all;
  return on ? entered?.on : entered?.off;
}

/** m of one section; undefined without row spacing. */
export function sectionWidth(context: Pick<SectionTimingContext, 'setup'>, { log }: DrillView, section: string): number | undefined {
  const spacing = rowSpacing(context);
  return spacing === undefined ? undefined : spacing * log.towers.reduce((sum, tower) => sum + (tower.section === section ? tower.outlets : 0), 0);
}
