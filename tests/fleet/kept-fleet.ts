import type { Analysis } from '../../shared/day.ts';
import type { Finding, Measurement } from '../../shared/finding.ts';
import { openStore } from '../../src/case-store.ts';
import type { Store } from '../../src/store/store.ts';
import type { FleetTables } from '../../src/fleet/fleet.ts';
import { createRandom } from '../support/world/random.ts';

/** One kept day as the tests' own arithmetic sees it. */
export interface PlainDay {
  readonly machine: string;
  readonly date: string;
  readonly id: string;
  readonly measurements: readonly Measurement[];
  readonly findings: readonly Finding[];
}

const MACHINES = ['Drill D60', 'Drill D40 "west"', 'Ünit 7'] as const;
const DAYS = 9;
const FIRST = Date.UTC(2031, 3, 20, 8) / 1000;

/** A store of 27 days of three machines: one wheel wears by 2 %, runs block, rates are off, fans fall low, a title tries to be a formula. */
export async function keptFleet(root: string): Promise<{ readonly store: Store; readonly days: readonly PlainDay[] }> {
  const store = openStore(root);
  const random = createRandom(7, 'fleet');
  const days: PlainDay[] = [];
  for (const [m, machine] of MACHINES.entries()) {
    for (let day = 0; day < DAYS; day++) {
      const measured = (name: string, subject: string, level: number, half: number, unit: string): Measurement => {
        const value = level + (half / 2) * random.normal();
        return { name, subject, value, low: value - half, high: name === 'run.variation' && day === 2 ? Number.POSITIVE_INFINITY : value + half, unit, n: 10 };
      };
      const measurements = [
        measured('wheel.ratio', 'wheel', 1, 0.001, 'ratio'), measured('wheel.constant', 'wheel', 20 * (1 + (m === 1 ? (0.02 * day) / (DAYS - 1) : 0)), 0.01, 'pulses/m'), measured('area.gnss', 'field', 40 + m, 0.4, 'ha'), measured('hours.working', 'field', 4, 0.01, 'h'),
        measured('section.on-delay', 'all', 2.3 + m / 10, 0.05 + day / 100, 's'), measured('section.off-delay', 'all', 2.6, 0.06, 's'), measured('section.on-delay', 'section.1', 9, 0.06, 's'), measured('fan.margin', 'fan.1', day === 4 && m === 2 ? 0.9 : 1.1, 0.01, 'ratio'),
        measured('scale.span', 'tank.1', m === 0 ? 1.03 : 1, 0.004, 'ratio'), measured('tank.load-for-area', 'tank.1', 120, 1, 'kg/ha'), measured('run.variation', 'tank.1', 0.06, 0.01, 'ratio'),
      ];
      const findings = [
        ...(day % (m + 2) === 0 ? [finding('run.blocked', `run.${40 + m}`, day, 'action', { value: 0, duration: 600 + day, areaHa: 0.3 })] : []),
        ...(day === 3 ? [finding('rate.off-target', 'tank.1', day, 'action', { value: 0.93 + m / 100, duration: 9000, massKg: -200 - m })] : []),
        ...(day === 5 && m === 0 ? [finding('tower.blocked', 'tower.B', day, 'watch', { value: 0.2, duration: 90, areaHa: 0.1 })] : []),
      ];
      const { listing } = await store.save({ analysis: analysisOf(`${machine} ${day}`, FIRST + day * 86_400, measurements, findings), setup: JSON.stringify({ machine: { name: machine } }), zone: 'UTC' });
      days.push({ machine, date: listing.date, id: listing.id, measurements, findings });
    }
  }
  return { store, days };
}

export async function tablesOf(store: Store): Promise<FleetTables> {
  const { cases } = await store.manyTables();
  return { measurements: cases.map(({ measurements }) => measurements), findings: cases.map(({ findings }) => findings), marks: cases.flatMap(({ id, marks }) => marks.map((mark) => ({ case: id, ...mark }))) };
}

function finding(code: Finding['code'], subject: string, day: number, severity: Finding['severity'], { value, duration, areaHa, massKg }: { readonly value: number; readonly duration: number; readonly areaHa?: number; readonly massKg?: number }): Finding {
  return {
    id: `${code}-${subject}-${day}`, code, subject, severity, verdict: 'proved', title: `=HYPERLINK("${subject}")`, span: { start: 100, end: 100 + duration }, episodes: [], measure: { value, low: value - 0.01, high: value + 0.01, unit: 'ratio' },
    consequence: { text: '', ...(areaHa === undefined ? {} : { areaHa }), ...(massKg === undefined ? {} : { massKg }) },
    explanation: '', excludes: [], decidingCheck: '', cautions: [], channels: [], evidence: [],
  };
}

function analysisOf(name: string, start: number, measurements: readonly Measurement[], findings: readonly Finding[]): Analysis {
  const sha256 = Buffer.from(name).toString('hex').padEnd(64, '0').slice(0, 64);
  return {
    day: { start, duration: 20_000, channels: [], messages: [], gaps: [], logs: [{ file: 'day.log', format: 'candump', sha256, start, end: start + 20_000, records: 1, badRecords: 0, bytes: { total: 1, accepted: 1, rejected: 0, ignored: 0 }, bad: [], clockOffset: 0, notes: [] }] },
    summary: { areaHa: 40, workingHours: 4, products: [] }, findings, measurements, checks: [],
    episodes: { working: [], turning: [], parked: [], filling: [], gaps: [] },
  };
}
