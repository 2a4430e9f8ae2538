import { describe, expect, test } from 'vitest';
import type { Finding, FindingCode } from '../../shared/finding.ts';
import { causeTable } from '../../src/causes/cause-table.ts';
import { mergeCauses } from '../../src/causes/merge-causes.ts';

const finding = (code: FindingCode, subject: string, ratio: number, change: Partial<Finding> = {}): Finding => ({
  id: `${code} ${subject}`, code, subject, severity: 'action', verdict: 'proved', title: `${code} at ${subject}`, span: { start: 0, end: 100 }, episodes: [{ start: 0, end: 100 }],
  measure: { value: ratio, low: ratio - 0.004, high: ratio + 0.004, unit: 'ratio' }, explanation: 'because', excludes: [], decidingCheck: 'look', cautions: [`caution of ${code}`], channels: [code],
  evidence: [{ kind: 'table', title: code, columns: [], rows: [] }], ...change,
});
function short(massKg: number): Partial<Finding> {
  return { consequence: { massKg, text: 'less' } };
}
function withoutSize(code: FindingCode, subject: string): Finding {
  const { measure: _measure, ...rest } = finding(code, subject, 1);
  return rest;
}
const codes = (findings: readonly Finding[]): string[] => findings.map((one) => `${one.code} ${one.subject}`);

describe('two findings stay two', () => {
  test.each<[string, Finding, Finding]>([
    ['a rate error of another size than the wheel error', finding('speed.calibration-off', 'wheel', 1.064), finding('rate.off-target', 'tank.1', 0.92)],
    ['a rate error before the wheel changed', finding('speed.calibration-shift', 'wheel', 1.064, { span: { start: 200, end: 300 } }), finding('rate.off-target', 'tank.1', 1.064)],
    ['a lot change in another tank', finding('rate.mass-per-turn-step', 'tank.2', 0.92), finding('rate.off-target', 'tank.1', 0.92)],
    ['a remark does not swallow something to do', finding('speed.calibration-off', 'wheel', 1.064, { severity: 'info' }), finding('rate.off-target', 'tank.1', 1.064)],
    ['a new kg per turn on a day whose scale was off from the start', finding('scale.span-off', 'tank.1', 0.95, { span: { start: 0, end: 20_000 } }), finding('rate.mass-per-turn-step', 'tank.1', 0.89, { span: { start: 12_000, end: 20_000 } })],
    ['a scale that shows too much does not read below zero', finding('scale.span-off', 'tank.1', 1.05), withoutSize('scale.zero-moved', 'tank.1')],
    ['a zero that jumped by a measured weight', finding('scale.span-off', 'tank.1', 0.95), finding('scale.zero-moved', 'tank.1', 300)],
    ['a section that stayed shut for a while and a rate that is short by far more', finding('section.stuck', 'section.5', 0, short(-30)), finding('rate.off-target', 'tank.1', 0.9, short(-126))],
    ['a tower that gave little and a new kg per turn an hour later', finding('tower.low', 'tower.E', 0.5, { ...short(-900), span: { start: 9300, end: 19_000 } }), finding('rate.mass-per-turn-step', 'tank.1', 0.9, { ...short(-800), span: { start: 12_600, end: 19_000 } })],
    ['a blocked run on a day with a wrong wheel', finding('speed.calibration-off', 'wheel', 1.064), finding('run.blocked', 'run.3', 0)],
  ])('%s', (_, first, second) => {
    expect(mergeCauses([first, second])).toEqual([first, second]);
  });
});

describe('what follows is named under its cause', () => {
  test('the rate that is off only because the wheel is', () => {
    const merged = mergeCauses([finding('rate.off-target', 'tank.1', 1.061), finding('speed.calibration-off', 'wheel', 1.064, { severity: 'watch' })]);
    expect(codes(merged)).toEqual(['speed.calibration-off wheel']);
    expect(merged[0]?.consequences).toEqual(['rate.off-target at tank.1.']);
    expect(merged[0]?.severity).toBe('action');
    expect(merged[0]?.cautions).toHaveLength(2);
    expect(merged[0]?.evidence).toHaveLength(2);
    expect(merged[0]?.channels).toEqual(['speed.calibration-off', 'rate.off-target']);
  });

  test('a tank that reads below zero when empty because the span was set too low after zeroing', () => {
    expect(codes(mergeCauses([finding('scale.span-off', 'tank.1', 0.95), withoutSize('scale.zero-moved', 'tank.1')]))).toEqual(['scale.span-off tank.1']);
  });

  test('kg per turn that is low because a section gave nothing for a while', () => {
    expect(codes(mergeCauses([finding('rate.mass-per-turn-step', 'tank.1', 0.96, short(-126)), finding('section.stuck', 'section.5', 0, short(-91))]))).toEqual(['section.stuck section.5']);
  });

  test('a chain ends at its first cause', () => {
    const merged = mergeCauses([finding('rate.off-target', 'tank.1', 0.75), finding('rate.mass-per-turn-step', 'tank.1', 0.75), finding('scale.cell-lost', 'tank.1', 0.75)]);
    expect(codes(merged)).toEqual(['scale.cell-lost tank.1']);
    expect(merged[0]?.consequences).toHaveLength(2);
  });
});

test('no rule leads back to its own cause', () => {
  const reaches = (from: FindingCode, to: FindingCode, depth = 0): boolean =>
    depth < 10 && causeTable.some((rule) => rule.cause === from && (rule.follower === to || reaches(rule.follower, to, depth + 1)));
  expect(causeTable.filter((rule) => reaches(rule.follower, rule.cause))).toEqual([]);
});
