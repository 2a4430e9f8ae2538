import type { Setup } from '../../../shared/setup.ts';
import { formatNumber, quantity } from '../../../shared/text.ts';
import { html, type Markup } from './markup.ts';
import { sayer, type PaperSource } from './paper.ts';

/** The settings as the setup file gives them: what every judgement here started from. */
export function settingsTable({ setup, reading }: PaperSource): Markup {
  const say = sayer(reading);
  const rows = [...machineRows(setup), ...jobRows(setup)];
  return html`<section><h2>Settings as found</h2>
${rows.length === 0 ? html`<p>No setup was given; nothing but the log was used.</p>` : html`<div class="wide" tabindex="0"><table><tbody>${rows.map(([name, value]) => html`<tr><th scope="row" class="row-name">${name}</th><td>${say(value)}</td></tr>`)}</tbody></table></div><p class="small with-table">As written in setup.json. What is not listed was not given.</p>`}</section>`;
}

/** Every correction that follows from the findings. */
export function correctionTable({ analysis }: PaperSource): Markup {
  const rows = analysis.findings.flatMap(({ correction }, k) => (correction === undefined ? [] : [{ ...correction, number: k + 1 }]));
  if (rows.length === 0) return html``;
  return html`<section class="keep"><h2>Corrections that follow</h2>
<div class="wide" tabindex="0"><table><thead><tr><th scope="col">setting</th><th scope="col">as found</th><th scope="col">correct</th><th scope="col">from finding</th></tr></thead>
<tbody>${rows.map((row) => html`<tr data-correction="${row.setting}"><th scope="row">${row.setting}</th><td>${row.old}</td><td class="strong">${row.new}</td><td>${row.number}</td></tr>`)}</tbody></table></div>
<p class="small">Change a setting after its deciding check, not before; note the old one.</p></section>`;
}

type Row = readonly [name: string, value: string];

const given = (name: string, value: string | undefined): readonly Row[] => (value === undefined || value === '' ? [] : [[name, value]]);
const named = (id: string, name: string | undefined): string => (name === undefined ? id : `${id} (${name})`);
const delay = ({ on, off }: { readonly on: number; readonly off: number }): string => `on ${quantity.duration(on, 1)}, off ${quantity.duration(off, 1)}`;

function machineRows({ machine }: Setup): readonly Row[] {
  const { antennaToOpeners: antenna, intendedOverlap: overlap, delays } = machine;
  return [
    ...given('Working width', machine.workingWidth === undefined ? undefined : quantity.length(machine.workingWidth, 2)),
    ...given('Row spacing', machine.rowSpacing === undefined ? undefined : quantity.length(machine.rowSpacing, 3)),
    ...given('Wheel constant', machine.wheel?.constant.entered),
    ...given('Antenna to openers', antenna === undefined ? undefined : `${quantity.length(antenna.aft)} behind, ${quantity.length(Math.abs(antenna.right))} to the ${antenna.right < 0 ? 'left' : 'right'}`),
    ...given('Intended overlap', overlap === undefined ? undefined : `${quantity.length(overlap.passes, 2)} between passes, ${quantity.length(overlap.ends)} at their ends`),
    ...given('Delays', delays?.all === undefined ? undefined : delay(delays.all)),
    ...[...(delays?.tanks ?? [])].flatMap(([tank, each]) => given(`Delays, tank ${tank}`, delay(each))),
    ...[...(delays?.sections ?? [])].flatMap(([section, each]) => given(`Delays, section ${section}`, delay(each))),
    ...given('Towers', machine.towers.map(({ id, runs, section }) => `${id}: ${runsText(runs)}${section === undefined ? '' : `, section ${section}`}`).join('; ')),
    ...machine.tanks.flatMap(({ id, name, capacity, meter }) => given(`Tank ${named(id, name)}`, [capacity === undefined ? '' : `holds ${quantity.mass(capacity)}`, meter === undefined ? '' : `meter ${meter}`].filter((text) => text !== '').join(', '))),
    ...machine.meters.flatMap(({ id, massPerTurn }) => given(`Meter ${id}`, massPerTurn === undefined ? undefined : quantity.massPerTurn(massPerTurn))),
    ...given('Fans', machine.fans.map(({ id, name }) => named(id, name)).join(', ')),
    ...given('Set aside, never judged', machine.setAside.join(', ')),
  ];
}

function jobRows({ job }: Setup): readonly Row[] {
  return [
    ...job.products.flatMap(({ tank, name, targetRate, seedMass, counted, fan, fanFloor }) => given(`Product in tank ${tank}`, [
      name ?? 'not named',
      targetRate === undefined ? '' : `target ${quantity.rate(targetRate)}`,
      seedMass === undefined ? '' : `${formatNumber(seedMass * 1e6, 1)} g per 1000 seeds`,
      counted === true ? 'counted at the runs' : '',
      fan === undefined ? '' : `by fan ${fan}${fanFloor === undefined ? '' : `, at least ${quantity.rotation(fanFloor)}`}`,
    ].filter((text) => text !== '').join(', '))),
    ...given('Weigh tickets', job.loads.length === 0 ? undefined : `${job.loads.length}: ${job.loads.map(({ tank, mass }) => `tank ${tank} ${quantity.mass(mass)}`).join(', ')}`),
  ];
}

/** 1, 2, 3, 7 → `runs 1–3, 7`. */
function runsText(runs: readonly number[]): string {
  const parts: { from: number; to: number }[] = [];
  for (const run of runs) {
    const last = parts.at(-1);
    if (last !== undefined && run === last.to + 1) last.to = run;
    else parts.push({ from: run, to: run });
  }
  return `runs ${parts.map(({ from, to }) => (from === to ? String(from) : `${from}–${to}`)).join(', ')}`;
}
