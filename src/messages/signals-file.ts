import { channelKind, contractChannels, conversion, nearestChannel, unitsFor, type ChannelKind } from '../../shared/channel-names.ts';
import { readJson, type JsonPlace, type Problem } from '../../shared/json-reader.ts';
import { UNITS } from '../../shared/units.ts';
import { SetupError } from '../core/errors.ts';
import { looksLikeDbc, parseDbc } from './dbc-file.ts';
import { LONGEST_FAST_PACKET } from './fast-packet.ts';
import { EXTENDED } from './identifier.ts';
import { bytesNeeded, type Selector } from './signal.ts';
import { USER_TRUST, type SignalDefinition } from './signal-definition.ts';

const KEYS = ['channel', 'unit', 'pgn', 'id', 'startBit', 'length', 'byteOrder', 'signed', 'factor', 'offset', 'selector', 'source', 'allOnes'] as const;
const SELECTOR_KEYS = ['startBit', 'length', 'equals'] as const;
const LARGEST_GROUP = 0x1ffff;
const LARGEST_STANDARD_ID = 0x7ff;
const LARGEST_EXTENDED_ID = 0x1fffffff;
const LARGEST_SOURCE = 253;
/** Bits of the longest message a parameter group can have here. A single frame has 64, which an `id` is held to. */
const GROUP_BITS = LONGEST_FAST_PACKET * 8;
const FRAME_BITS = 64;

/**
 * Reads signals.json (contract 5), or a DBC file, into definitions.
 * Throws SetupError with one sentence for each thing wrong: which entry, which key, what is allowed.
 */
export function parseSignals(text: string, fileName: string): readonly SignalDefinition[] {
  if (looksLikeDbc(text)) return dbcSignals(text, fileName);
  const problems: Problem[] = [];
  const root = readJson(parsed(text, fileName), '', problems).object(['signals']);
  const list = root?.at('signals');
  if (root !== undefined && list === undefined) root.problem('has no "signals"', 'Write {"signals":[ … ]} with one entry per signal.');
  const signals = list?.items().flatMap((place) => readSignal(place) ?? []) ?? [];
  const clashes = problems.length === 0 ? overlaps(signals) : [];
  refuse([...problems, ...clashes], fileName);
  return signals;
}

function dbcSignals(text: string, fileName: string): readonly SignalDefinition[] {
  const { signals } = parseDbc(text, fileName);
  if (signals.length > 0) return signals;
  throw new SetupError('no-channels', `${fileName} names no channel: none of its signals is called like one, in its name, comment or attribute.`,
    `Put a channel name into a signal's comment, for example CM_ SG_ 2566851070 Weight1 "tank.1.mass"; known are ${contractChannels.join(', ')}.`);
}

function parsed(text: string, fileName: string): unknown {
  try {
    return JSON.parse(text.replace(/^\uFEFF/, ''));
  } catch (error) {
    throw new SetupError('not-json', `${fileName} is not valid JSON: ${error instanceof Error ? error.message : String(error)}.`, 'Check commas, quotes and brackets at that place.');
  }
}

function refuse(problems: readonly Problem[], fileName: string): void {
  const [first] = problems;
  if (first === undefined) return;
  const more = problems.length === 1 ? '' : ` (and ${problems.length - 1} more: ${problems.slice(1, 6).map((problem) => problem.message).join('; ')}${problems.length > 6 ? '; …' : ''})`;
  throw new SetupError('signals-file', `${fileName}: ${first.message}${more}.`, first.whatToDo);
}

function readSignal(place: JsonPlace): SignalDefinition | undefined {
  const entry = place.object(KEYS);
  if (entry === undefined) return undefined;
  const required = (key: 'channel' | 'startBit' | 'length', example: string): JsonPlace | undefined => entry.at(key) ?? entry.problem(`has no "${key}"`, `Add it, for example ${example}.`);
  const channelPlace = required('channel', '"channel":"tank.1.mass"');
  const channel = channelPlace?.text();
  const kind = channel === undefined ? undefined : channelKind(channel);
  if (channelPlace !== undefined && channel !== undefined && kind === undefined) {
    const meant = nearestChannel(channel);
    channelPlace.problem(`is "${channel}", which is no channel`, meant === undefined ? `Known are ${contractChannels.join(', ')}.` : `Did you mean "${meant}"?`);
  }
  const unit = channel === undefined || kind === undefined ? undefined : readUnit(entry, channel, kind);
  const match = readMatch(entry);
  const startBit = whole(required('startBit', '"startBit":8'), 0, GROUP_BITS - 1);
  const length = whole(required('length', '"length":16'), 1, 64);
  const byteOrder = choice(entry.at('byteOrder'), ['little', 'big']) ?? 'little';
  const factor = entry.at('factor')?.number() ?? 1;
  if (factor === 0) entry.at('factor')?.problem('is 0: every value would be the same', 'Give the value of one bit.');
  const offset = entry.at('offset')?.number() ?? 0;
  const signed = entry.at('signed')?.flag() ?? false;
  const isAllOnesValid = choice(entry.at('allOnes'), ['valid', 'not-available']) === 'valid';
  const selector = readSelector(entry.at('selector'), match?.id !== undefined);
  const source = readSource(entry.at('source'));
  if (channel === undefined || unit === undefined || match === undefined || startBit === undefined || length === undefined) return undefined;
  const first = byteOrder === 'big' ? mostSignificantBit(startBit, length) : startBit;
  inMessage(entry, { startBit: first, length, byteOrder }, match.id !== undefined);
  return {
    channel, unit, ...match, startBit: first, length, byteOrder, signed, factor, offset,
    notAvailable: isAllOnesValid ? 'none' : 'all-ones', trust: USER_TRUST,
    ...(selector === undefined ? {} : { selector }), ...(source === undefined ? {} : { source }),
  };
}

/**
 * Big-endian fields begin at their most significant bit, as network description files count. A field that begins at the
 * lowest bit of a byte can only be meant as whole bytes, or bits of that byte, from there on.
 */
function mostSignificantBit(startBit: number, length: number): number {
  if ((startBit & 7) !== 0 || length === 1) return startBit;
  return length < 8 ? startBit + length - 1 : startBit + 7;
}

function readUnit(entry: JsonPlace, channel: string, kind: ChannelKind): string | undefined {
  const place = entry.at('unit');
  const fitting = unitsFor(kind).join(', ');
  if (place === undefined) return kind.dimension === 'ratio' ? '1' : entry.problem(`has no "unit" for ${channel}`, `Write one of ${fitting}.`);
  const unit = place.text();
  if (unit === undefined) return undefined;
  if (!UNITS.has(unit)) return place.problem(`is "${unit}", a unit that is not known`, `For ${channel} write one of ${fitting}.`);
  return conversion(unit, kind) === undefined ? place.problem(`is "${unit}", which does not measure what ${channel} is`, `For ${channel} write one of ${fitting}.`) : unit;
}

/** `pgn` or `id`; an identifier above 0x7FF is a 29-bit one. */
function readMatch(entry: JsonPlace): Pick<SignalDefinition, 'pgn' | 'id'> | undefined {
  const pgnPlace = entry.at('pgn');
  const idPlace = entry.at('id');
  if (pgnPlace !== undefined && idPlace !== undefined) return entry.problem('has both "pgn" and "id"', 'Keep one: "pgn" for a message from any sender, "id" for one exact identifier.');
  if (pgnPlace !== undefined) {
    const pgn = whole(pgnPlace, 0, LARGEST_GROUP);
    if (pgn === undefined) return undefined;
    const isAddressed = ((pgn >> 8) & 0xff) < 240;
    if (!isAddressed || (pgn & 0xff) === 0) return { pgn };
    return pgnPlace.problem(`is ${pgn}, but the low byte of an addressed message is its destination`, `Write ${pgn & ~0xff}.`);
  }
  if (idPlace === undefined) return entry.problem('has neither "pgn" nor "id"', 'Add "pgn" (parameter group number) or "id" (the whole identifier).');
  const id = whole(idPlace, 0, LARGEST_EXTENDED_ID);
  if (id === undefined) return undefined;
  return { id: id > LARGEST_STANDARD_ID ? (id | EXTENDED) >>> 0 : id };
}

function readSelector(place: JsonPlace | undefined, isFrame: boolean): Selector | undefined {
  const entry = place?.object(SELECTOR_KEYS);
  if (entry === undefined) return undefined;
  const need = (key: string): JsonPlace | undefined => entry.at(key) ?? entry.problem(`has no "${key}"`, 'A selector is {"startBit":0,"length":8,"equals":1}.');
  const startBit = whole(need('startBit'), 0, GROUP_BITS - 1);
  const length = whole(need('length'), 1, 32);
  const equals = whole(need('equals'), 0, length === undefined ? 0xffffffff : 2 ** length - 1);
  if (startBit === undefined || length === undefined || equals === undefined) return undefined;
  inMessage(entry, { startBit, length }, isFrame);
  return { startBit, length, equals };
}

function readSource(place: JsonPlace | undefined): number | string | undefined {
  if (place === undefined) return undefined;
  if (typeof place.value !== 'string') return whole(place, 0, LARGEST_SOURCE);
  return /^[0-9a-f]{16}$/i.test(place.value) ? place.value.toLowerCase() : place.problem(`is "${place.value}"`, 'Write the address (0 to 253), or the 16 hex digits of the device\'s NAME in quotes.');
}

function inMessage(entry: JsonPlace, field: { readonly startBit: number; readonly length: number; readonly byteOrder?: 'little' | 'big' }, isFrame: boolean): void {
  const bits = isFrame ? FRAME_BITS : GROUP_BITS;
  const bytes = bytesNeeded(field);
  if (bytes * 8 > bits) entry.problem(`reaches into byte ${bytes}, but ${isFrame ? 'a frame' : 'a message'} has ${bits / 8}`, 'Check startBit and length; bit 0 is the lowest bit of the first byte.');
}

function whole(place: JsonPlace | undefined, least: number, most: number): number | undefined {
  const value = place?.number();
  if (place === undefined || value === undefined) return undefined;
  return Number.isInteger(value) && value >= least && value <= most ? value : place.problem(`is ${value}`, `It must be a whole number from ${least} to ${most}.`);
}

function choice<T extends string>(place: JsonPlace | undefined, allowed: readonly T[]): T | undefined {
  const value = place?.text();
  if (place === undefined || value === undefined) return undefined;
  return allowed.find((candidate) => candidate === value) ?? place.problem(`is "${value}"`, `Write ${allowed.map((word) => `"${word}"`).join(' or ')}.`);
}

/** Two signals of one message that share bits are a slip, unless a selector keeps them apart or they are the very same bits. */
function overlaps(signals: readonly SignalDefinition[]): Problem[] {
  const problems: Problem[] = [];
  signals.forEach((signal, index) => {
    const other = signals.findIndex((candidate, before) => before < index && clash(candidate, signal));
    if (other < 0) return;
    problems.push({
      path: `signals[${index}]`,
      message: `signals[${index}] (${signal.channel}) shares bits with signals[${other}] (${signals[other]?.channel ?? ''}) of the same message`,
      whatToDo: 'Check startBit and length of both, or tell them apart with a selector.',
    });
  });
  return problems;
}

function clash(a: SignalDefinition, b: SignalDefinition): boolean {
  const isSameMessage = a.pgn === b.pgn && a.id === b.id && (a.source === undefined || b.source === undefined || a.source === b.source);
  if (!isSameMessage || areApart(a.selector, b.selector)) return false;
  const bits = bitsOf(a);
  const others = bitsOf(b);
  const shared = others.filter((bit) => bits.includes(bit)).length;
  return shared > 0 && !(shared === bits.length && shared === others.length && a.channel !== b.channel);
}

function areApart(a: Selector | undefined, b: Selector | undefined): boolean {
  return a !== undefined && b !== undefined && a.startBit === b.startBit && a.length === b.length && a.equals !== b.equals;
}

function bitsOf(signal: SignalDefinition): number[] {
  const bits: number[] = [];
  let bit = signal.startBit;
  for (let i = 0; i < signal.length; i++) {
    bits.push(bit);
    if (signal.byteOrder !== 'big') bit += 1;
    else bit = (bit & 7) === 0 ? bit + 15 : bit - 1;
  }
  return bits;
}
