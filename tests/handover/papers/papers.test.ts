import { beforeAll, describe, expect, test } from 'vitest';
import { findingsDocument } from '../../../src/handover/findings-document.ts';
import { PAPER_NAMES, paper, type PaperName, type PaperSource } from '../../../src/handover/papers/papers.ts';
import { fromSi, toSi } from '../../../shared/units.ts';
import { finding, handMade, logNamed, sampleSource, worldSource } from './paper-days.ts';
import { figuresIn, halfStep, nodesOf, readNumber, textOf, treeOf, withAttribute, type Node } from './paper-tree.ts';

interface Interval { readonly value: number; readonly low: number; readonly high: number }
interface Document {
  readonly day: { readonly areaHa: number; readonly workingHours: number; readonly products: readonly { readonly tank: string; readonly targetKgPerHa?: number; readonly appliedKgPerHa?: Interval; readonly dispensedKg?: Interval; readonly fields?: readonly { readonly areaHa: number; readonly appliedKgPerHa?: Interval }[] }[] };
  readonly findings: readonly { readonly id: string; readonly title: string; readonly explanation: string; readonly decidingCheck: string; readonly cautions: readonly string[]; readonly excludes: readonly string[]; readonly cannotTell?: string; readonly severity: string; readonly measure?: Interval & { readonly unit: string; readonly expected?: number }; readonly consequence?: { readonly areaHa?: number; readonly massKg?: number; readonly text: string }; readonly correction?: { readonly setting: string; readonly old: string; readonly new: string } }[];
  readonly measurements: readonly (Interval & { readonly name: string; readonly subject: string; readonly unit: string })[];
  readonly logs: readonly { readonly file: string; readonly sha256: string }[];
}

const documentOf = (source: PaperSource): Document => JSON.parse(JSON.stringify(findingsDocument(source.analysis))) as Document;
const treeFor = (name: PaperName, source: PaperSource): Node => treeOf(paper(name, source));

/** Printed figures carry exactly the document's values, and read as them to half of the last figure. */
function expectFigures(node: Node, values: readonly number[], factor = 1): void {
  const figures = figuresIn(node);
  expect(figures.map(({ value }) => value)).toEqual(values);
  for (const { value, text } of figures) expect(Math.abs(readNumber(text) - value * factor), `${text} for ${value * factor}`).toBeLessThanOrEqual(halfStep(text));
}

const plain = (measure: Interval & { readonly expected?: number }): readonly number[] => [measure.value, ...(measure.low === measure.high ? [] : [measure.low, measure.high]), ...(measure.expected === undefined ? [] : [measure.expected])];

describe.each(['sample', 'S01', 'S02'] as const)('papers of %s', (day) => {
  let source: PaperSource;
  let document: Document;
  beforeAll(async () => {
    source = day === 'sample' ? await sampleSource() : worldSource(day);
    document = documentOf(source);
  }, 60_000);

  test('the complaint file has every finding with its words and numbers as the findings document has them', () => {
    const tree = treeFor('complaint', source);
    expect(document.findings.length).toBeGreaterThan(0);
    for (const each of document.findings) {
      const part = withAttribute(tree, 'data-finding', each.id);
      const text = textOf(part);
      for (const words of [each.title, each.explanation, ...each.excludes, each.cannotTell ?? '', each.consequence?.text ?? '']) expect(text).toContain(words);
      if (each.measure !== undefined) expectFigures(withAttribute(part, 'data-field', 'measure'), plain(each.measure), each.measure.unit === 'ratio' ? 100 : 1);
      const { areaHa, massKg } = each.consequence ?? {};
      if (areaHa !== undefined) expectFigures(withAttribute(part, 'data-field', 'areaHa'), [areaHa]);
      if (massKg !== undefined) expectFigures(withAttribute(part, 'data-field', 'massKg'), [massKg]);
    }
    expectFigures(withAttribute(tree, 'data-day', 'areaHa'), [document.day.areaHa]);
    expectFigures(withAttribute(tree, 'data-day', 'workingHours'), [document.day.workingHours]);
  });

  test('page one has the verdict: what, since when, how sure, cost, correction, check', () => {
    const first = document.findings.find(({ severity }) => severity === 'action');
    if (first === undefined) throw new Error('no action finding that day');
    const verdict = withAttribute(treeFor('complaint', source), 'class', 'verdict');
    const text = textOf(verdict);
    for (const words of [first.title, first.decidingCheck, first.consequence?.text ?? '', first.correction?.new ?? '', first.correction?.old ?? '', ...first.cautions]) expect(text).toContain(words);
  });

  test('every measurement of the day but those of single sections stands in the complaint file', () => {
    const tree = treeFor('complaint', source);
    const shown = document.measurements.filter(({ subject }) => !/^(?:section|tower)\./.test(subject));
    expect(shown.length).toBeGreaterThan(5);
    for (const entry of shown) expectFigures(withAttribute(tree, 'data-measurement', `${entry.name} ${entry.subject}`), plain(entry), entry.unit === 'ratio' ? 100 : 1);
  });

  test('the rate check has area, target and applied rate as the findings document has them', () => {
    const tree = treeFor('rates', source);
    for (const product of document.day.products) {
      const row = withAttribute(tree, 'data-tank', product.tank);
      /* The first of its fields, where the day is split into fields. */
      const { areaHa, appliedKgPerHa: applied } = product.fields?.[0] ?? { areaHa: document.day.areaHa, appliedKgPerHa: product.appliedKgPerHa };
      expectFigures(row, [areaHa, ...(product.targetKgPerHa === undefined ? [] : [product.targetKgPerHa]), ...(applied === undefined ? [] : [applied.value, applied.low, applied.high])]);
      if (applied === undefined) expect(textOf(row)).toContain('cannot tell');
    }
  });

  test('the list for tomorrow has each check once, and loads by the rate really applied', () => {
    const list = treeFor('tomorrow', { ...source, area: 50e4 });
    const text = textOf(list);
    for (const each of document.findings.filter(({ severity }) => severity !== 'info')) {
      expect(text.split(each.decidingCheck)).toHaveLength(2);
      expect(text).toContain(each.correction?.new ?? '');
    }
    for (const { tank, appliedKgPerHa: applied } of document.day.products) {
      const rate = document.measurements.find(({ name, subject }) => name === 'tank.load-for-area' && subject === `tank.${tank}`) ?? applied;
      if (rate === undefined) continue;
      const hectares = document.measurements.find(({ name, subject }) => name === 'tank.hectares-to-empty' && subject === `tank.${tank}`)?.value ?? 0;
      const load = figuresIn(withAttribute(withAttribute(list, 'data-load', tank), 'data-field', 'load'))[0];
      expect(load?.value).toBeCloseTo(Math.max(0, rate.value * (50 - hectares)), 6);
    }
  });

  test.each(PAPER_NAMES)('%s: one file, nothing from outside, no script, every log by its hash, each caution once', (name) => {
    const made = paper(name, source);
    const tree = treeOf(made);
    for (const node of nodesOf(tree)) {
      expect(['script', 'link', 'img', 'image', 'iframe', 'object', 'embed', 'base', 'form', 'a', 'use', 'foreignObject', 'video', 'audio']).not.toContain(node.name);
      for (const attribute of Object.keys(node.attributes)) expect(attribute).not.toMatch(/^(?:src|href|xlink:href|srcset|data|style|action|on.*)$/);
    }
    expect(made.replaceAll('http://www.w3.org/2000/svg', '')).not.toMatch(/https?:|url\(|@import/);
    const text = textOf(tree);
    for (const log of document.logs) {
      expect(text.split(log.sha256)).toHaveLength(2);
      expect(text).toContain(`${log.sha256.slice(0, 12)}…`);
    }
    for (const caution of new Set(document.findings.flatMap(({ cautions }) => cautions))) expect(text.split(caution).length, caution).toBeLessThanOrEqual(2);
    for (const words of ['operator\'s manual', 'local rules', 'trained service people', 'Sowtrace 0.0.0-test', 'UTC', source.setup.machine.name ?? '']) expect(text).toContain(words);
    expect(text).not.toMatch(/NaN|Infinity|undefined|\bnull\b|\[object|‹|›|[–−\s(]%\s*%|– %|\s{3,}%/);
    expect(made).not.toMatch(/="[^"]*(?:NaN|Infinity|undefined)/);
  });
});

describe('US units', () => {
  test('what is read is in pounds, acres and feet; the values behind it stay those of the document', () => {
    const metric = worldSource('S01');
    const source: PaperSource = { ...metric, reading: { ...metric.reading, units: 'us', zone: 'America/Regina' } };
    const document = documentOf(source);
    for (const name of PAPER_NAMES) {
      const text = textOf(treeFor(name, { ...source, area: 40e4 }));
      expect(text).toMatch(/\d lb\/ac/);
      expect(text, name).not.toMatch(/\d (?:kg\/ha|kg|ha|km\/h)\b/);
      expect(text).toContain('America/Regina');
    }
    const [product] = document.day.products;
    const applied = product?.fields?.[0]?.appliedKgPerHa ?? product?.appliedKgPerHa;
    const figures = figuresIn(withAttribute(withAttribute(treeFor('rates', source), 'data-tank', '1'), 'data-field', 'applied'));
    expect(figures.map(({ value }) => value)).toEqual([applied?.value, applied?.low, applied?.high]);
    for (const { value, text } of figures) expect(Math.abs(readNumber(text) - (fromSi(toSi(value, 'kg/ha') ?? 0, 'lb/ac') ?? 0))).toBeLessThanOrEqual(halfStep(text));
  });
});

describe('hostile and hollow days', () => {
  const EVIL = '<img src=x onerror=alert(1)>"\'&\u202E</script><script>alert(2)</script>';

  test('names out of logs and setup, notes and marks are text', () => {
    const hostile = finding({ title: EVIL, explanation: EVIL, excludes: [EVIL], cannotTell: EVIL, decidingCheck: EVIL, cautions: [EVIL], channels: [EVIL], correction: { setting: EVIL, old: EVIL, new: EVIL }, consequence: { text: EVIL, massKg: -3, areaHa: 1 },
      evidence: [{ kind: 'table', title: EVIL, columns: [{ label: EVIL, unit: EVIL }], rows: [[EVIL]] }, { kind: 'trace', title: EVIL, unit: EVIL, span: { start: 0, end: 10 }, shaded: [], levels: [{ label: EVIL, value: 1 }], series: [{ label: EVIL, x: [0, 10], y: [0, 1], style: 'line', role: 'subject' }] }] });
    const source = handMade([hostile], {
      logs: [logNamed(EVIL)], notes: EVIL, marks: [{ finding: hostile.id, state: 'confirmed', note: EVIL, at: 0 }],
      setup: { machine: { name: EVIL, towers: [{ id: EVIL, runs: [1, 2, 7] }], tanks: [{ id: EVIL, name: EVIL }], meters: [], fans: [{ id: EVIL }], setAside: [EVIL] }, job: { products: [{ tank: EVIL, name: EVIL }], loads: [] } },
      analysis: { summary: { areaHa: 1, workingHours: 1, products: [{ tank: EVIL, name: EVIL, appliedKgPerHa: { value: 1, low: 1, high: 2 } }] }, checks: [{ detector: EVIL, status: 'not-logged', why: EVIL }, { detector: EVIL, status: 'clean', why: EVIL }] },
    });
    for (const name of PAPER_NAMES) {
      const made = paper(name, source);
      expect(made).not.toMatch(/<img|<script|onerror=alert\(1\)>"/);
      expect(textOf(treeOf(made))).toContain(EVIL.replace('\u202E', '\uFFFD'));
    }
  });

  test('numbers that are none are told as such', () => {
    const nothing = { value: Number.NaN, low: Number.NaN, high: Infinity };
    const hollow = finding({ measure: { ...nothing, unit: 'ratio' }, consequence: { text: 'x', areaHa: Number.NaN, massKg: Infinity }, evidence: [
      { kind: 'trace', title: 't', unit: 'm/s', span: { start: 0, end: 0 }, shaded: [], levels: [{ label: 'l', value: Number.NaN }], series: [{ label: 's', x: [], y: [], style: 'points', role: 'subject' }, { label: 'r', x: [0, Number.NaN], y: [null, Infinity], low: [null, null], high: [null, null], style: 'line', role: 'witness' }] },
      { kind: 'xy', title: 'x', x: { label: 'a', unit: '1' }, y: { label: 'b', unit: '1' }, series: [], lines: [{ label: 'one', slope: 1, intercept: 0 }] },
      { kind: 'histogram', title: 'h', label: 'h', unit: 's', edges: [0], counts: [], levels: [] },
      { kind: 'runs', title: 'r', runs: [], towers: [], time: [], ratio: [], highlighted: [], shaded: [] },
      { kind: 'map', title: 'm', origin: { latitude: 0, longitude: 0 }, lines: [], areas: [] },
      { kind: 'table', title: 'n', columns: [{ label: 'n', unit: 's' }], rows: [[Number.NaN], [null]] },
    ] });
    const source = handMade([hollow], { analysis: { summary: { areaHa: Number.NaN, workingHours: 0, products: [{ tank: '1', appliedKgPerHa: nothing, dispensedKg: nothing }] }, measurements: [{ name: 'wheel.ratio', subject: 'wheel', ...nothing, unit: 'ratio', n: 0 }] } });
    for (const name of PAPER_NAMES) {
      const made = paper(name, source);
      expect(made).not.toMatch(/NaN|Infinity|undefined/);
      expect(textOf(treeOf(made))).toContain('cannot tell');
    }
  });

  test('a day without findings, products or setup says what could not be told', () => {
    const source = handMade([], { analysis: { checks: [{ detector: 'rate', status: 'not-set-up', why: 'The setup names no product.' }] } });
    expect(textOf(treeFor('complaint', source))).toContain('The setup names no product.');
    expect(textOf(treeFor('rates', source))).toMatch(/cannot tell/i);
    expect(textOf(treeFor('tomorrow', source))).toContain('Nothing to put right');
    expect(textOf(treeFor('tomorrow', source))).toContain('0 of 1 checks could be made');
  });

  test('at most seven lines for tomorrow, the heavier first, what is marked fixed left out', () => {
    const many = Array.from({ length: 12 }, (_, k) => finding({ id: `f${k}`, subject: `run.${k + 1}`, decidingCheck: `Look into the opener of run ${k + 1}.`, severity: k % 2 === 0 ? 'watch' : 'action' }));
    const tree = treeFor('tomorrow', handMade(many, { marks: [{ finding: 'f1', state: 'fixed', note: '', at: 0 }] }));
    const tasks = [...nodesOf(tree)].filter(({ attributes }) => attributes['data-task'] !== undefined).map(({ attributes }) => attributes['data-task']);
    expect(tasks).toEqual(['f3', 'f5', 'f7', 'f9', 'f11', 'f0', 'f2']);
    expect(textOf(tree)).toContain('Four lighter things not listed here');
    expect(textOf(tree)).toContain('One thing marked as put right or not so');
  });
});
