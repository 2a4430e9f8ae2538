import { channelKind, conversion } from '../../shared/channel-names.ts';
import { SetupError } from '../core/errors.ts';
import { EXTENDED, NULL_ADDRESS, parseIdentifier } from './identifier.ts';
import type { Selector } from './signal.ts';
import { USER_TRUST, type SignalDefinition } from './signal-definition.ts';

/** A signal of a DBC file, whether or not a channel was found for it. */
export interface DbcSignal {
  readonly message: string;
  readonly name: string;
  /** As in the file: 29-bit identifiers carry bit 31. */
  readonly id: number;
  readonly unit: string;
  readonly comment: string;
  /** Why no channel is made of it; undefined when one is. */
  readonly unused: string | undefined;
}

export interface DbcFile {
  readonly signals: readonly SignalDefinition[];
  readonly all: readonly DbcSignal[];
}

/** Whether a text is a DBC file: the format begins with a version or a list of new symbols, or at least holds messages. */
export const looksLikeDbc = (text: string): boolean => /^\uFEFF?\s*(?:VERSION\b|NS_\s*:|BS_\s*:|BU_\s*:|BO_\s+\d)/.test(text);

interface Message {
  readonly id: number;
  readonly name: string;
  readonly signals: Signal[];
}

interface Signal {
  readonly name: string;
  /** `M` the selector, a number = only when the selector has it. */
  readonly multiplex: 'M' | number | undefined;
  readonly startBit: number;
  readonly length: number;
  readonly byteOrder: 'little' | 'big';
  readonly signed: boolean;
  readonly factor: number;
  readonly offset: number;
  readonly minimum: number;
  readonly maximum: number;
  readonly unit: string;
}

const MESSAGE = /^BO_\s+(\d+)\s+([A-Za-z_]\w*)\s*:\s*(\d+)/;
const NUMBER = '[-+]?(?:\\d+\\.?\\d*|\\.\\d+)(?:[eE][-+]?\\d+)?';
const NAME_AND_PLACE = '^SG_\\s+([A-Za-z_]\\w*)\\s*(M|m\\d+M?)?\\s*:\\s*(\\d+)\\|(\\d+)@([01])([+-])';
const SCALE = `\\(\\s*(${NUMBER})\\s*,\\s*(${NUMBER})\\s*\\)`;
const RANGE = `\\[\\s*(${NUMBER})\\s*\\|\\s*(${NUMBER})\\s*\\]`;
const SIGNAL = new RegExp(`${NAME_AND_PLACE}\\s*${SCALE}\\s*${RANGE}\\s*"([^"]*)"`);
const SIGNAL_COMMENT = /CM_\s+SG_\s+(\d+)\s+(\w+)\s+"((?:[^"\\]|\\.)*)"\s*;/g;
const SIGNAL_ATTRIBUTE = /BA_\s+"([^"]*)"\s+SG_\s+(\d+)\s+(\w+)\s+"((?:[^"\\]|\\.)*)"\s*;/g;
const FRAME_FORMAT = /BA_\s+"VFrameFormat"\s+BO_\s+(\d+)\s+(\d+)\s*;/g;
const NETWORK_ATTRIBUTE = /BA_\s+"ProtocolType"\s+"([^"]*)"\s*;/;
/** Enumeration value of `VFrameFormat` for J1939 parameter groups. */
const J1939_GROUP = 3;

/** How other files spell our units. */
const UNIT_SPELLINGS: Readonly<Record<string, string>> = {
  'deg C': '°C', 'degrees C': '°C', 'Celsius': '°C', 'celsius': '°C', 'deg F': '°F', 'RPM': 'rpm', 'Rpm': 'rpm', 'kmh': 'km/h', 'KPH': 'km/h', 'kPA': 'kPa',
  'KPa': 'kPa', 'degrees': 'deg', 'Kg': 'kg', 'KG': 'kg', 'sec': 's', 'meter': 'm', 'percent': '%', '-': '1',
};

/**
 * Reads a DBC file. A signal becomes a channel when its comment, a text attribute or its name (underscores for points)
 * is a channel name. Throws SetupError when the file holds no message at all.
 */
export function parseDbc(text: string, fileName: string): DbcFile {
  const messages = readMessages(text, fileName);
  const labels = readLabels(text);
  const groups = new Set([...text.matchAll(FRAME_FORMAT)].filter((match) => Number(match[2]) === J1939_GROUP).map((match) => Number(match[1])));
  const isJ1939 = NETWORK_ATTRIBUTE.exec(text)?.[1] === 'J1939';
  const signals: SignalDefinition[] = [];
  const all: DbcSignal[] = [];
  for (const message of messages) {
    const match = matchOf(message.id, isJ1939 || groups.has(message.id));
    const selectors = message.signals.filter((signal) => signal.multiplex === 'M');
    for (const signal of message.signals) {
      const texts = labels.get(`${message.id}/${signal.name}`) ?? [];
      const found = definitionOf(signal, [...texts, signal.name.toLowerCase().replaceAll('_', '.')], match, selectors);
      if (typeof found !== 'string') signals.push(found);
      all.push({ message: message.name, name: signal.name, id: message.id, unit: signal.unit, comment: texts[0] ?? '', unused: typeof found === 'string' ? found : undefined });
    }
  }
  return { signals, all };
}

function readMessages(text: string, fileName: string): Message[] {
  const messages: Message[] = [];
  text.split(/\r\n|\r|\n/).forEach((raw, index) => {
    const line = raw.trim();
    if (line.startsWith('BO_ ')) {
      const match = MESSAGE.exec(line);
      if (match === null) throw notUnderstood(fileName, index, 'message', 'BO_ 2566851070 Weights: 8 Cart');
      messages.push({ id: Number(match[1]), name: match[2] ?? '', signals: [] });
    } else if (line.startsWith('SG_ ')) {
      const match = SIGNAL.exec(line);
      if (match === null) throw notUnderstood(fileName, index, 'signal', 'SG_ Weight1 : 8|24@1+ (0.1,0) [0|0] "kg" Cart');
      messages.at(-1)?.signals.push(signalOf(match));
    }
  });
  if (messages.length === 0) throw new SetupError('empty-dbc', `${fileName} is a DBC file without a message.`, 'Check that it was exported whole: messages begin with BO_.');
  return messages;
}

function notUnderstood(fileName: string, index: number, what: string, example: string): SetupError {
  return new SetupError('dbc-line', `${fileName} line ${index + 1}: this ${what} is not understood.`, `It should read like ${example}.`);
}

function signalOf(match: RegExpExecArray): Signal {
  const [, name = '', multiplex, startBit, length, order, sign, factor, offset, minimum, maximum, unit = ''] = match;
  return {
    name, startBit: Number(startBit), length: Number(length), byteOrder: order === '0' ? 'big' : 'little', signed: sign === '-',
    /* `m2M`, a selector that is selected itself, is read as selected. */
    multiplex: multiplex === undefined ? undefined : multiplex === 'M' ? 'M' : Number.parseInt(multiplex.slice(1), 10),
    factor: Number(factor), offset: Number(offset), minimum: Number(minimum), maximum: Number(maximum), unit,
  };
}

/** Comments and text attributes by `id/signal`. */
function readLabels(text: string): ReadonlyMap<string, readonly string[]> {
  const labels = new Map<string, string[]>();
  const add = (id: string | undefined, name: string | undefined, label: string | undefined): void => {
    const key = `${id ?? ''}/${name ?? ''}`;
    labels.set(key, [...(labels.get(key) ?? []), (label ?? '').trim()]);
  };
  for (const match of text.matchAll(SIGNAL_COMMENT)) add(match[1], match[2], match[3]);
  for (const match of text.matchAll(SIGNAL_ATTRIBUTE)) add(match[2], match[3], match[4]);
  return labels;
}

/** A parameter group from any sender, or one exact identifier. The null address 254 in an identifier stands for 'any sender'. */
function matchOf(id: number, isGroup: boolean): { readonly pgn: number } | { readonly id: number } {
  const parts = parseIdentifier(id);
  return parts !== undefined && (isGroup || parts.source === NULL_ADDRESS) ? { pgn: parts.pgn } : { id: id >= EXTENDED ? id : id & 0x7ff };
}

/** The definition, or why there is none. */
function definitionOf(signal: Signal, labels: readonly string[], match: { readonly pgn: number } | { readonly id: number }, selectors: readonly Signal[]): SignalDefinition | string {
  const channel = labels.find((label) => channelKind(label) !== undefined);
  const kind = channel === undefined ? undefined : channelKind(channel);
  if (channel === undefined || kind === undefined) return 'no channel of that name';
  if (signal.length < 1 || signal.length > 64) return `${signal.length} bits is not 1 to 64`;
  const spelled = UNIT_SPELLINGS[signal.unit] ?? signal.unit;
  if (conversion(spelled, kind) === undefined) return `unit "${signal.unit}" does not fit ${channel}`;
  const [selector] = selectors;
  if (typeof signal.multiplex === 'number' && (selector === undefined || selectors.length > 1)) return 'its selector is not clear';
  /* [0|0] is how the format says 'no range given'. */
  const hasRange = signal.minimum < signal.maximum;
  return {
    channel, unit: spelled, ...match, startBit: signal.startBit, length: signal.length, byteOrder: signal.byteOrder, signed: signal.signed,
    /* Only J1939 agrees on all ones as 'not available'; elsewhere the range of the signal decides. */
    factor: signal.factor, offset: signal.offset, notAvailable: 'pgn' in match && !signal.signed ? 'all-ones' : 'none', trust: USER_TRUST,
    ...(hasRange ? { minimum: signal.minimum, maximum: signal.maximum } : {}),
    ...(typeof signal.multiplex === 'number' && selector !== undefined ? { selector: selectorOf(selector, signal.multiplex) } : {}),
  };
}

const selectorOf = ({ startBit, length, byteOrder }: Signal, equals: number): Selector => ({ startBit, length, byteOrder, equals });
