import type { Analysis } from '../../shared/day.ts';
import type { Finding, Severity } from '../../shared/finding.ts';
import type { ExpectedFinding, Truth } from '../support/world/truth.ts';

/** How one analysis compares with the truth of its day. */
export interface DayScore {
  readonly expected: readonly ExpectedScore[];
  /** `watch` or `action` findings that are neither expected nor allowed. */
  readonly falseFindings: readonly Finding[];
  /** Findings that the day forbids outright. */
  readonly trapped: readonly Finding[];
  readonly infos: number;
  readonly passed: boolean;
}

export interface ExpectedScore {
  readonly expected: ExpectedFinding;
  readonly finding?: Finding;
  /** What is out of tolerance, in words; empty = right. */
  readonly wrong: readonly string[];
  /** Finding minus truth. */
  readonly startError?: number;
  readonly measureError?: number;
  readonly areaError?: number;
}

const RANK: Readonly<Record<Severity, number>> = { info: 0, watch: 1, action: 2 };
/** Clean days may carry at most so many remarks (issue and scenarios: scoring). */
const MOST_INFOS_ON_A_CLEAN_DAY = 3;

export function scoreDay(analysis: Pick<Analysis, 'findings'>, truth: Truth): DayScore {
  const { findings } = analysis;
  const expected = truth.expected.map((entry) => scoreExpected(entry, findings));
  const matched = new Set(expected.map((entry) => entry.finding));
  const isNamed = (finding: Finding, list: Truth['may']): boolean =>
    list.some((entry) => new RegExp(`^(?:${entry.code})$`).test(finding.code) && (entry.subject === undefined || new RegExp(`^(?:${entry.subject})$`).test(finding.subject)));
  const loud = findings.filter((finding) => finding.severity !== 'info' && !matched.has(finding));
  const trapped = loud.filter((finding) => isNamed(finding, truth.mustNot));
  const falseFindings = loud.filter((finding) => !trapped.includes(finding) && !isNamed(finding, truth.may));
  const infos = findings.filter((finding) => finding.severity === 'info').length;
  const passed = expected.every((entry) => entry.wrong.length === 0) && trapped.length === 0 && falseFindings.length === 0 && (!truth.clean || infos <= MOST_INFOS_ON_A_CLEAN_DAY);
  return { expected, falseFindings, trapped, infos, passed };
}

function scoreExpected(expected: ExpectedFinding, findings: readonly Finding[]): ExpectedScore {
  const candidates = findings.filter((finding) => expected.codes.includes(finding.code) && new RegExp(`^(?:${expected.subject})$`).test(finding.subject));
  const scored = candidates.map((finding) => compare(expected, finding)).sort((a, b) => a.wrong.length - b.wrong.length);
  return scored[0] ?? { expected, wrong: ['not found'] };
}

function compare(expected: ExpectedFinding, finding: Finding): ExpectedScore {
  const wrong: string[] = [];
  const error = (name: string, is: number | undefined, should: { readonly value: number; readonly tolerance: number } | undefined): number | undefined => {
    if (should === undefined) return undefined;
    const difference = is === undefined ? NaN : is - should.value;
    if (!(Math.abs(difference) <= should.tolerance)) wrong.push(`${name} ${format(is)} for ${format(should.value)} ± ${format(should.tolerance)}`);
    return difference;
  };
  const startError = error('start', finding.span.start, expected.start);
  error('end', finding.span.end, expected.end);
  const measureError = error('size', finding.measure?.value, expected.measure);
  const areaError = error('area', finding.consequence?.areaHa, expected.areaHa);
  error('mass', finding.consequence?.massKg, expected.massKg);
  if (RANK[finding.severity] < RANK[expected.severityAtLeast]) wrong.push(`severity ${finding.severity} for ${expected.severityAtLeast}`);
  return {
    expected,
    finding,
    wrong,
    ...(startError === undefined ? {} : { startError }),
    ...(measureError === undefined ? {} : { measureError }),
    ...(areaError === undefined ? {} : { areaError }),
  };
}

const format = (value: number | undefined): string => (value === undefined ? 'nothing' : Number(value.toPrecision(5)).toString());
