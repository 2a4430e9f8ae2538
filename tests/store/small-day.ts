import { createHash } from 'node:crypto';
import type { Channel } from '../../shared/channel.ts';
import type { Analysis, LogSummary } from '../../shared/day.ts';
import type { Finding } from '../../shared/finding.ts';

/* A day made by hand: small, and with everything in it that files like to lose. */

const N = 3000;
const START = Date.UTC(2026, 4, 7, 3, 30) / 1000;
const at = (seconds: (i: number) => number, length = N): Float64Array => Float64Array.from({ length }, (_, i) => seconds(i));

export function logOf(content: string, file = `${content}.log`): LogSummary {
  const sha256 = createHash('sha256').update(content).digest('hex');
  return { file, format: 'candump', sha256, start: START, end: START + 600, records: N, badRecords: 1, bytes: { total: 9, accepted: 5, rejected: 3, ignored: 1 }, bad: [{ offset: 3, line: 1, reason: 'cut off' }], clockOffset: -0, notes: ['‘quoted’, ünlaut'] };
}

export function channelOf(id: string, time: Float64Array, value: Float32Array | Float64Array, file = 'a.log'): Channel {
  return { id, unit: '1', source: { file, bus: 'can0', sourceAddress: 39, pgn: 65_330 }, time, value };
}

/** Channels that are hard to keep: no sample, one, no value at all, all kinds of zero and infinity, repeated and unshared times, both widths, the same id twice. */
export function oddChannels(): readonly Channel[] {
  const shared = at((i) => i / 5);
  const noise = (i: number): number => Math.sin(i * 12.9898) * 43_758.5453 % 1;
  return [
    channelOf('wheel.speed', shared, at((i) => Math.round(2200 + 300 * noise(i)) / 1000)),
    channelOf('wheel.speed', Float64Array.from(shared), at((i) => 1 / (i + 1)), 'b.log'),
    channelOf('gnss.lat', at((i) => 1_778_124_600.123457 + i * 0.1 - 1_778_124_600), at((i) => (512_345_678 + i * 3 + Math.round(noise(i))) * 1e-7)),
    channelOf('run.1.count', shared, Float32Array.from({ length: N }, (_, i) => (i % 7 === 0 ? Number.NaN : 180 + (i % 11)))),
    channelOf('run.2.count', shared, Float32Array.from({ length: N }, (_, i) => Math.fround(noise(i)))),
    channelOf('run.3.count', shared, new Float32Array(N).fill(Number.NaN)),
    channelOf('pitch', shared, at((i) => [0, -0, Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY, Number.MIN_VALUE, Number.MAX_VALUE, -1e-300][i % 8] as number)),
    channelOf('roll', shared, at((i) => (i % 2 === 0 ? -0 : 0))),
    channelOf('tank.1.mass', at((i) => Math.floor(i / 100)), at((i) => 4000 - i * 0.1)),
    channelOf('implement.working', shared, new Float64Array(N).fill(1)),
    channelOf('fan.1.speed', new Float64Array(0), new Float64Array(0)),
    channelOf('fan.2.speed', new Float64Array(0), new Float32Array(0)),
    channelOf('oil.temperature', at(() => 12.5, 1), at(() => 331.15, 1)),
    channelOf('gnss.hdop', at((i) => i * 0.01, 200_001), at((i) => (i % 3 === 0 ? Number.NaN : i % 29), 200_001)),
  ];
}

const FIVE = oddChannels().slice(0, 5);

const finding: Finding = {
  id: 'run.blocked-run.1-1a2b', code: 'run.blocked', subject: 'run.1', severity: 'action', verdict: 'proved', title: 'run 1 is blocked from ‹clock|60|›', span: { start: 60, end: 90 }, episodes: [{ start: 60, end: 90 }],
  measure: { value: 0.1, low: Number.NaN, high: Number.POSITIVE_INFINITY, unit: 'ratio', expected: 1 }, consequence: { areaHa: 0.25, massKg: -0, text: 'less seed' },
  explanation: 'because', excludes: ['a bad sensor'], decidingCheck: 'look', cautions: [], channels: ['run.1.count'],
  evidence: [{ kind: 'trace', title: 't', unit: '1/s', span: { start: 0, end: 9 }, shaded: [], levels: [], series: [{ label: 'run 1', x: [0.1, 0.2, -0], y: [null, Number.NaN, 1e-323], style: 'line', role: 'subject' }] },
    { kind: 'histogram', title: 'h', label: 'l', unit: '1', edges: new Float64Array([0, 0.1 + 0.2, 1]) as unknown as readonly number[], counts: new Uint32Array([3, 4_000_000_000]) as unknown as readonly number[], levels: [] }],
};

/** `content` tells the logs apart; `turn` goes into the summary, so that one revision of a case is told from the next. */
export function smallDay(content = 'a', turn = 0, channels: readonly Channel[] = FIVE): Analysis {
  return {
    day: { start: START, duration: 600, logs: [logOf(content), { ...logOf(content), notes: ['Holds the same bytes as another of the logs: counted once.'] }], channels, messages: [], gaps: [] },
    summary: { areaHa: turn, workingHours: 0.1 + 0.2, products: [] },
    findings: [finding, { ...finding, id: 'fan.unsteady-fan.1-3c', code: 'fan.unsteady', subject: 'fan.1', severity: 'watch', evidence: [] }],
    measurements: [{ name: 'wheel.ratio', subject: 'wheel', value: 1.01, low: 1, high: Number.NaN, unit: 'ratio', n: 12 }],
    checks: [{ detector: 'run-flow', status: 'found', why: 'it looked' }],
    episodes: { working: [{ start: 0, end: 600 }], turning: [], parked: [], filling: [{ start: 1, end: 2, tank: '1', massKg: 1200 }], gaps: [] },
  };
}

export const SMALL_SETUP = '\uFEFF{ "machine": { "name": "Drill Élan 60" } }\r\n';
