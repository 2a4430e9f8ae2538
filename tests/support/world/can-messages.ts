/**
 * Which message carries which channel. Standard ones as in ISO 11783-7, SAE J1939 and NMEA 2000 (bit places as in the published tables);
 * the cart's own are invented, in the range free for makers (PGN 65280–65535), and described in signals.json.
 */
export interface CanMessage {
  readonly pgn: number;
  readonly priority: number;
  readonly source: number;
  readonly fields: readonly CanField[];
  /** Bits that are always the same. */
  readonly fixed?: readonly { readonly startBit: number; readonly length: number; readonly raw: number }[];
  /** Sent on every change with the last known state of all fields. */
  readonly held?: boolean;
}

export interface CanField {
  readonly channel: string;
  readonly startBit: number;
  readonly length: number;
  readonly factor: number;
  readonly offset: number;
  /** Unit of raw × factor + offset; SI when left out. */
  readonly unit?: string;
  /** Two's complement; 'not available' is then the largest positive value. */
  readonly signed?: boolean;
}

export const ENGINE = 0x00;
export const RECEIVER = 0x1c;
export const CART = 0x87;
export const TRACTOR = 0xf0;

const field = (channel: string, startBit: number, length: number, factor: number, offset = 0, unit?: string): CanField => ({ channel, startBit, length, factor, offset, ...(unit === undefined ? {} : { unit }) });
const signed = (channel: string, startBit: number, length: number, factor: number): CanField => ({ channel, startBit, length, factor, offset: 0, signed: true });

/** NMEA 2000 129029 (fast packet) is built apart. */
export const STANDARD: readonly CanMessage[] = [
  { pgn: 129025, priority: 2, source: RECEIVER, fields: [signed('gnss.lat', 0, 32, 1e-7), signed('gnss.lon', 32, 32, 1e-7)] },
  { pgn: 127257, priority: 3, source: RECEIVER, fields: [signed('pitch', 24, 16, 1e-4), signed('roll', 40, 16, 1e-4)], fixed: [{ startBit: 8, length: 16, raw: 0x7fff }] },
  { pgn: 129026, priority: 2, source: RECEIVER, fields: [field('gnss.course', 16, 16, 1e-4), field('gnss.speed', 32, 16, 0.01)], fixed: [{ startBit: 8, length: 2, raw: 0 }] },
  {
    pgn: 65096, priority: 3, source: TRACTOR, fields: [field('wheel.speed', 0, 16, 0.001), field('wheel.distance', 16, 32, 0.001), field('implement.working', 60, 2, 1)],
    fixed: [{ startBit: 56, length: 2, raw: 1 }, { startBit: 58, length: 2, raw: 1 }],
  },
  { pgn: 61444, priority: 3, source: ENGINE, fields: [field('engine.speed', 24, 16, 0.125)] },
  { pgn: 65265, priority: 6, source: ENGINE, fields: [field('drive.speed', 8, 16, 1 / 256, 0, 'km/h')] },
  { pgn: 65093, priority: 3, source: TRACTOR, fields: [field('implement.working', 14, 2, 1)] },
  { pgn: 65272, priority: 6, source: TRACTOR, fields: [field('oil.temperature', 32, 16, 0.03125, -273, '°C')] },
  { pgn: 130312, priority: 5, source: RECEIVER, fields: [field('air.temperature', 24, 16, 0.01)], fixed: [{ startBit: 8, length: 8, raw: 0 }, { startBit: 16, length: 8, raw: 1 }] },
];

const TANK_PGN = 65330;
const METER_PGN = 65331;
const SECTION_PGN = 65332;
const COUNT_PGN = 65333;
const WHEEL_PGN = 65334;
const FAN_PGN = 65336;
const BLOCKED_PGN = 65338;
const CELL_PGN = 65339;

/** The cart's own messages for the channels that a day has. Byte 0 selects tank, meter, fan or group of runs. */
export function ownMessages(channels: ReadonlySet<string>, largestCount: number): readonly CanMessage[] {
  const numbered = (pattern: RegExp): readonly number[] => [...channels].flatMap((id) => { const match = pattern.exec(id); return match === null ? [] : [Number(match[1])]; });
  const selected = (pgn: number, selector: number, fields: readonly CanField[]): CanMessage => ({
    pgn, priority: 6, source: CART, fields: fields.filter((f) => channels.has(f.channel)), fixed: [{ startBit: 0, length: 8, raw: selector }],
  });
  /* Seeds per second in 8 bits where they fit, else in 16. */
  const bits = largestCount <= 250 ? 8 : 16;
  const perFrame = bits === 8 ? 7 : 3;
  const runs = numbered(/^run\.(\d+)\.count$/);
  const groups = Array.from({ length: Math.ceil(runs.length / perFrame) }, (_, g) => runs.slice(g * perFrame, (g + 1) * perFrame));
  return [
    { pgn: WHEEL_PGN, priority: 6, source: CART, fields: [field('wheel.pulses', 0, 32, 1)] },
    ...numbered(/^fan\.(\d+)\.speed$/).map((n) => selected(FAN_PGN, n, [field(`fan.${n}.speed`, 8, 16, 0.25), field(`fan.${n}.target`, 24, 16, 0.25)])),
    ...numbered(/^tank\.(\d+)\.mass$/).map((n) => selected(TANK_PGN, n, [field(`tank.${n}.mass`, 8, 24, 0.1, -100_000), field(`tank.${n}.pressure`, 32, 16, 1, -5000), field(`tank.${n}.level`, 48, 8, 0.005)])),
    ...numbered(/^tank\.(\d+)\.cell\.1$/).map((n) => selected(CELL_PGN, n, [1, 2, 3, 4].map((m) => field(`tank.${n}.cell.${m}`, 8 + (m - 1) * 14, 14, 1, -500)))),
    ...numbered(/^meter\.(\d+)\.speed$/).map((n) => selected(METER_PGN, n, [
      field(`meter.${n}.speed`, 8, 16, 0.01), field(`meter.${n}.turns`, 24, 24, 0.01), field(`meter.${n}.target`, 48, 16, 0.01, 0, 'kg/ha'),
    ])),
    { pgn: SECTION_PGN, priority: 3, source: CART, held: true, fields: numbered(/^section\.(\d+)\.on$/).map((n) => field(`section.${n}.on`, (n - 1) * 2, 2, 1)) },
    ...groups.map((group, g) => selected(COUNT_PGN, g, group.map((run, j) => field(`run.${run}.count`, 8 + j * bits, bits, 1)))),
    ...numbered(/^run\.(\d+)\.blocked$/).map((n) => selected(BLOCKED_PGN, n, [field(`run.${n}.blocked`, 8, 2, 1)])),
  ].filter((message) => message.fields.length > 0);
}

const SI_NAMES: readonly (readonly [RegExp, string])[] = [
  [/\.mass$|\.cell\.\d$/, 'kg'], [/\.pressure$/, 'Pa'], [/^(fan|engine)\.|^meter\.\d+\.speed$/, 'rpm'], [/\.turns$/, 'turn'], [/\.count$/, '1/s'], [/^wheel\.pulses$/, 'count'],
];

/** signals.json (contract 5) for the cart's own messages. */
export function signalsFile(messages: readonly CanMessage[]): object {
  return {
    signals: messages.flatMap((message) => message.fields.map((f) => ({
      channel: f.channel, unit: f.unit ?? SI_NAMES.find(([pattern]) => pattern.test(f.channel))?.[1] ?? '1',
      pgn: message.pgn, startBit: f.startBit, length: f.length, factor: f.factor, offset: f.offset,
      selector: message.fixed?.[0] === undefined ? undefined : { startBit: 0, length: 8, equals: message.fixed[0].raw },
      source: message.source,
    }))),
  };
}
