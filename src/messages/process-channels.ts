import type { Channel } from '../../shared/channel.ts';
import { SI_UNIT, UNITS, type Unit } from '../../shared/units.ts';
import type { Column } from '../core/column-builder.ts';
import { sourceOf, type RankedChannel } from './channel-book.ts';
import { channelKind, conversion } from './channel-names.ts';
import { SECTIONS_PER_GROUP, dictionaryEntry, stateGroup } from './data-dictionary.ts';
import { elementInstances, type DeviceDescription, type ElementType } from './device-description.ts';
import type { ProcessData, ProcessStream } from './process-data.ts';

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

/** Channels of all process data of a log, and what to tell the reader about them. */
export function processChannels(data: ProcessData, file: string, busNames: readonly string[]): { readonly ranked: readonly RankedChannel[]; readonly notes: readonly string[] } {
  const ranked: RankedChannel[] = [];
  const makers = new Set<string>();
  const streams = data.streams().map((stream) => ({ ...stream, ...data.roles(stream), values: stream.column.finish() }));
  const withSetStates = new Set(streams.filter((stream) => stateGroup(stream.ddi)?.kind === 'set').map((stream) => stream.device));
  for (const stream of streams) {
    const description = data.descriptions().get(stream.device.key);
    const origin = { pgn: 51968, ddi: stream.ddi, element: stream.element };
    const add = (id: string, unit: Unit, trust: number, column: Column, derivedFrom?: readonly string[]): void => {
      if (!column.value.some(Number.isFinite)) return;
      const source = sourceOf({ sender: stream.from, bus: stream.bus, origin: derivedFrom === undefined ? origin : { ...origin, derivedFrom } }, file, busNames);
      const channel: Channel = { id, unit, source, time: column.time, value: column.value };
      ranked.push({ channel, trust });
    };

    const states = stateGroup(stream.ddi);
    if (states !== undefined) {
      for (const section of sectionColumns(stream.values, states.kind)) {
        const n = states.group * SECTIONS_PER_GROUP + section.number;
        add(states.kind === 'set' ? `section.${n}.on` : `section.${n}.actual`, '1', 65, section);
        /* Sections switched by hand are never set by a controller: then what the device reports is all there is. */
        if (states.kind === 'actual' && !withSetStates.has(stream.device)) add(`section.${n}.on`, '1', 30, section, [`section.${n}.actual`]);
      }
      continue;
    }

    const found = description === undefined ? undefined : ruleFor(stream, description, streams);
    if (found !== undefined) {
      const kind = channelKind(found.id);
      const entry = dictionaryEntry(stream.ddi);
      const scale = kind === undefined || entry === undefined ? undefined : conversion(entry.unit, kind);
      if (kind !== undefined && entry !== undefined && scale !== undefined) {
        const value = STATES.has(stream.ddi)
          ? stream.values.value.map((raw) => (raw === 0 || raw === 1 ? raw : Number.NaN))
          : stream.values.value.map((raw) => raw * entry.factor * scale.factor + scale.offset);
        add(found.id, kind.unit, found.trust, { time: stream.values.time, value });
        continue;
      }
    }
    const id = `process.${stream.device.address}.${stream.element}.${stream.ddi}`;
    const { unit, factor } = plainUnit(stream.ddi);
    add(id, unit, stream.isSetPoint ? 10 : 20, { time: stream.values.time, value: stream.values.value.map((raw) => raw * factor) });
    const called = designator(description, stream);
    if (dictionaryEntry(stream.ddi) === undefined && called !== undefined) makers.add(`${id} "${called}"`);
  }
  return { ranked, notes: notesOf(data, makers) };
}

/** The two bits of each of sixteen sections, as columns; sections that are not there give none. */
function sectionColumns(raw: Column, kind: 'actual' | 'set'): readonly (Column & { readonly number: number })[] {
  return Array.from({ length: SECTIONS_PER_GROUP }, (_, index) => {
    const state = Array.from(raw.value, (value) => (value >>> (index * 2)) & 3);
    /* 3 = not installed, or no change: neither is a state. 2 = error: a state that is not known. */
    const kept = [...state.keys()].filter((i) => state[i] !== 3);
    return {
      number: index + 1,
      time: Float64Array.from(kept, (i) => raw.time[i] as number),
      value: Float64Array.from(kept, (i) => (state[i] === 2 ? Number.NaN : state[i] as number)),
    };
  }).filter((column) => column.time.length > 0 && (kind === 'set' || column.value.some(Number.isFinite)));
}

function ruleFor(stream: ProcessStream & { readonly device: unknown }, description: DeviceDescription, all: readonly (ProcessStream & { readonly device: unknown })[]): { readonly id: string; readonly trust: number } | undefined {
  const instances = elementInstances(description);
  const here = instances.get(stream.element);
  if (here === undefined) return undefined;
  const words = `${description.elements.find((element) => element.number === stream.element)?.designator ?? ''} ${designator(description, stream) ?? ''}`;
  const rule = RULES.find((candidate) => candidate.ddi === stream.ddi && candidate.on.includes(here.type) && (candidate.called?.test(words) ?? true));
  if (rule === undefined) return undefined;
  const isNumbered = rule.called === undefined && (here.type === 'bin' || here.type === 'section' || here.type === 'unit');
  /* A device or function has no number of its own kind: count those that give this value. */
  const peers = new Set(all.filter((other) => other.device === stream.device && other.ddi === stream.ddi).map((other) => other.element));
  const number = isNumbered ? here.instance : [...peers].sort((a, b) => a - b).indexOf(stream.element) + 1;
  return { id: rule.channel.replace('N', String(number)), trust: rule.trust };
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

function notesOf(data: ProcessData, makers: ReadonlySet<string>): string[] {
  const notes: string[] = [];
  if (makers.size > 0) notes.push(`Maker's own values, named by the device: ${[...makers].slice(0, 30).join(', ')}${makers.size > 30 ? ` and ${makers.size - 30} more` : ''}.`);
  if (data.unreadable() > 0) notes.push(`${data.unreadable()} device description(s) could not be read; their values are listed by number.`);
  const missing = new Set(data.streams().map((stream) => data.roles(stream).device).filter((device) => !data.descriptions().has(device.key)).map((device) => device.address));
  if (missing.size > 0) notes.push(`No device description in the log from address ${[...missing].join(', ')}: its values are listed as process.ADDRESS.ELEMENT.NUMBER.`);
  return notes;
}
