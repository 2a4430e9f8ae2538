import { channelKind, conversion } from '../../shared/channel-names.ts';
import type { Channel, ChannelSource } from '../../shared/channel.ts';
import { SI_UNIT, UNITS, type Unit } from '../../shared/units.ts';
import type { Column } from '../core/column-builder.ts';
import { sourceOf, type RankedChannel } from './channel-book.ts';
import { SECTIONS_PER_GROUP, dictionaryEntry, stateGroup } from './data-dictionary.ts';
import { elementInstances, type DeviceDescription, type ElementType } from './device-description.ts';
import type { Sender } from './names.ts';
import { NO_BUS, PROCESS_DATA, type ProcessData, type ProcessStream } from './process-data.ts';

/** Which value on which kind of element becomes which channel; N is the element's number among its kind. */
interface Rule {
  readonly ddi: number;
  readonly on: readonly ElementType[];
  readonly channel: string;
  readonly trust: number;
  /** Only when the device itself calls the value or its element so. */
  readonly called?: RegExp;
}

const WHOLE: readonly ElementType[] = ['device', 'function', 'connector'];
const ANY: readonly ElementType[] = ['device', 'function', 'bin', 'section', 'unit', 'connector', 'other'];

/* No standard number exists for a fan: 390 is any rotation, so the device's own words decide (messages.md 6.1). */
const FAN = /\bfan\b|\bblower\b/i;

const RULES: readonly Rule[] = [
  { ddi: 229, on: ['bin'], channel: 'tank.N.mass', trust: 75 },
  { ddi: 75, on: ['bin'], channel: 'tank.N.mass', trust: 65 },
  { ddi: 467, on: ['bin'], channel: 'tank.N.level', trust: 65 },
  { ddi: 6, on: ['bin', 'function'], channel: 'meter.N.target', trust: 70 },
  { ddi: 7, on: ['bin', 'function'], channel: 'meter.N.rate', trust: 70 },
  { ddi: 42, on: ['bin', 'function'], channel: 'meter.N.flow', trust: 70 },
  { ddi: 352, on: ['bin', 'function'], channel: 'meter.N.total', trust: 70 },
  { ddi: 81, on: ['bin', 'function'], channel: 'meter.N.total', trust: 60 },
  { ddi: 141, on: WHOLE, channel: 'implement.working', trust: 70 },
  { ddi: 141, on: ['section'], channel: 'section.N.actual', trust: 60 },
  { ddi: 289, on: ['section'], channel: 'section.N.on', trust: 60 },
  { ddi: 67, on: WHOLE, channel: 'implement.width', trust: 70 },
  { ddi: 47, on: ['unit'], channel: 'run.N.count', trust: 70 },
  { ddi: 192, on: WHOLE, channel: 'air.temperature', trust: 65 },
  { ddi: 390, on: ANY, channel: 'fan.N.speed', trust: 60, called: FAN },
  { ddi: 389, on: ANY, channel: 'fan.N.target', trust: 60, called: FAN },
];

/** Two bits, DDI 141 and 289: 0 off, 1 on, 2 error, 3 not available. */
const STATES = new Set([141, 289]);

/** A stream with everything known of it once the log has been read. */
interface KnownStream extends ProcessStream {
  readonly device: Sender;
  readonly isSetPoint: boolean;
  readonly description: DeviceDescription | undefined;
  readonly found: { readonly rule: Rule; readonly instance: number | undefined } | undefined;
  readonly values: Column;
}

interface NamedColumn extends Column {
  readonly id: string;
  readonly unit: Unit;
  readonly trust: number;
  readonly derivedFrom?: readonly string[];
}

/** Channels of all process data of a log, and what to tell the reader about them. */
export function processChannels(data: ProcessData, file: string, busNames: readonly string[]): { readonly ranked: readonly RankedChannel[]; readonly notes: readonly string[] } {
  const descriptions = data.descriptions();
  const streams = data.streams().map((stream): KnownStream => {
    const roles = data.roles(stream);
    const description = descriptions.get(roles.device.key);
    return { ...stream, ...roles, description, found: ruleFor(stream, description), values: stream.column.finish() };
  });
  const ranked = streams.flatMap((stream) => namedColumns(stream, streams).filter((column) => column.value.some(Number.isFinite)).map((column): RankedChannel => {
    const { id, unit, time, value, trust, derivedFrom } = column;
    const origin = { ddi: stream.ddi, element: stream.element, ...(derivedFrom === undefined ? {} : { derivedFrom }) };
    const source = stream.bus === NO_BUS ? loggedSource(stream, origin, file) : sourceOf({ sender: stream.from, bus: stream.bus, origin: { pgn: PROCESS_DATA, ...origin } }, file, busNames);
    const channel: Channel = { id, unit, time, value, source };
    return { channel, trust };
  }));
  return { ranked, notes: notesOf(data, streams) };
}

/** Task data name devices, not addresses. */
function loggedSource(stream: KnownStream, origin: Partial<ChannelSource>, file: string): ChannelSource {
  const element = stream.description?.elements.find((candidate) => candidate.number === stream.element)?.designator;
  const words = [stream.description?.designator, element, designator(stream.description, stream)].filter((word) => word !== undefined && word !== '');
  const { name } = stream.from;
  return { file, ...(words.length === 0 ? {} : { column: words.join(', ') }), ...(name === undefined ? {} : { name: name.hex }), ...origin };
}

function namedColumns(stream: KnownStream, all: readonly KnownStream[]): readonly NamedColumn[] {
  const states = stateGroup(stream.ddi);
  if (states !== undefined) {
    /* Sections switched by hand are never set by a controller: then what the device reports is all there is. */
    const isOnlyReport = states.kind === 'actual' && !all.some((other) => other.device === stream.device && stateGroup(other.ddi)?.kind === 'set');
    return sectionColumns(stream.values).flatMap(({ number, ...column }) => {
      const n = states.group * SECTIONS_PER_GROUP + number;
      const own: NamedColumn = { ...column, id: `section.${n}.${states.kind === 'set' ? 'on' : 'actual'}`, unit: '1', trust: 65 };
      return isOnlyReport ? [own, { ...own, id: `section.${n}.on`, trust: 30, derivedFrom: [own.id] }] : [own];
    });
  }
  const { time, value } = stream.values;
  const entry = dictionaryEntry(stream.ddi);
  const id = ruledName(stream, all);
  const kind = id === undefined ? undefined : channelKind(id);
  const scale = kind === undefined || entry === undefined ? undefined : conversion(entry.unit, kind);
  if (id === undefined || kind === undefined || entry === undefined || scale === undefined) {
    const { unit, factor } = plainUnit(stream.ddi);
    return [{ id: plainName(stream), unit, trust: stream.isSetPoint ? 10 : 20, time, value: value.map((raw) => raw * factor) }];
  }
  const scaled = STATES.has(stream.ddi) ? value.map((raw) => (raw === 0 || raw === 1 ? raw : Number.NaN)) : value.map((raw) => raw * entry.factor * scale.factor + scale.offset);
  return [{ id, unit: kind.unit, trust: stream.found?.rule.trust ?? 0, time, value: scaled }];
}

const plainName = (stream: KnownStream): string => `process.${stream.device.address}.${stream.element}.${stream.ddi}`;

function ruledName(stream: KnownStream, all: readonly KnownStream[]): string | undefined {
  if (stream.found === undefined) return undefined;
  const { rule, instance } = stream.found;
  /* A device, function or fan has no number of its own kind: count those that give this value. */
  const peers = new Set(all.filter((other) => other.device === stream.device && other.found?.rule === rule).map((other) => other.element));
  return rule.channel.replace('N', String(instance ?? [...peers].sort((a, b) => a - b).indexOf(stream.element) + 1));
}

/** The two bits of each of sixteen sections, as columns; sections that are not there give none. */
function sectionColumns(raw: Column): readonly (Column & { readonly number: number })[] {
  return Array.from({ length: SECTIONS_PER_GROUP }, (_, index) => {
    const state = Array.from(raw.value, (value) => (value >>> (index * 2)) & 3);
    /* 3 = not installed, or no change: neither is a state. 2 = error: a state that is not known. */
    const kept = [...state.keys()].filter((i) => state[i] !== 3);
    return {
      number: index + 1,
      time: Float64Array.from(kept, (i) => raw.time[i] as number),
      value: Float64Array.from(kept, (i) => (state[i] === 2 ? Number.NaN : state[i] as number)),
    };
  });
}

/** What a stream becomes by its device's description; undefined without one, or when no rule fits. */
function ruleFor(stream: ProcessStream, description: DeviceDescription | undefined): KnownStream['found'] {
  const here = description === undefined ? undefined : elementInstances(description).get(stream.element);
  if (here === undefined) return undefined;
  const words = `${description?.elements.find((element) => element.number === stream.element)?.designator ?? ''} ${designator(description, stream) ?? ''}`;
  const rule = RULES.find((candidate) => candidate.ddi === stream.ddi && candidate.on.includes(here.type) && (candidate.called?.test(words) ?? true));
  if (rule === undefined) return undefined;
  const isNumbered = rule.called === undefined && (here.type === 'bin' || here.type === 'section' || here.type === 'unit');
  return { rule, instance: isNumbered ? here.instance : undefined };
}

function designator(description: DeviceDescription | undefined, stream: { readonly element: number; readonly ddi: number }): string | undefined {
  const text = description?.elements.find((element) => element.number === stream.element)?.data.find((datum) => datum.ddi === stream.ddi)?.designator;
  return text === '' ? undefined : text;
}

/** SI where the dictionary and our units know it, else the raw number. */
function plainUnit(ddi: number): { readonly unit: Unit; readonly factor: number } {
  const entry = dictionaryEntry(ddi);
  const unit = entry === undefined ? undefined : UNITS.get(entry.unit);
  if (entry === undefined || unit === undefined || unit.dimension === 'area' || unit.dimension === 'volume') return { unit: '1', factor: 1 };
  return { unit: SI_UNIT[unit.dimension] as Unit, factor: entry.factor * unit.factor };
}

function notesOf(data: ProcessData, streams: readonly KnownStream[]): string[] {
  const notes: string[] = [];
  const makers = [...new Set(streams.filter((stream) => dictionaryEntry(stream.ddi) === undefined).flatMap((stream) => {
    const called = designator(stream.description, stream);
    return called === undefined ? [] : `${plainName(stream)} "${called}"`;
  }))];
  const more = makers.length > MOST_NAMED ? ` and ${makers.length - MOST_NAMED} more` : '';
  if (makers.length > 0) notes.push(`Maker's own values, named by the device: ${makers.slice(0, MOST_NAMED).join(', ')}${more}.`);
  if (data.unreadable() > 0) notes.push(`Device descriptions that could not be read: ${data.unreadable()}. The values of those devices are listed by number.`);
  const missing = new Set(streams.filter((stream) => stream.description === undefined).map((stream) => stream.device.address));
  if (missing.size > 0) notes.push(`No device description in the log from address ${[...missing].join(', ')}: its values are listed as process.ADDRESS.ELEMENT.NUMBER.`);
  return notes;
}

/** Names in one note; a device may have hundreds of values. */
const MOST_NAMED = 30;
