import { ELEMENT_TYPES, type DeviceDescription, type ElementData } from '../log-format.ts';
import type { XmlElement } from './xml-elements.ts';

/** What TASKDATA.XML (and the files it refers to) says besides the logs themselves. */
export interface TaskFile {
  readonly devices: readonly DeviceDescription[];
  /** Where process data belong, by `DET-…`: which device of `devices`, and its element number. */
  readonly elements: ReadonlyMap<string, { readonly device: number; readonly number: number }>;
  readonly logs: readonly TimeLogReference[];
  /** Names of further files, without extension. */
  readonly furtherFiles: readonly string[];
}

export interface TimeLogReference {
  /** File name without extension, e.g. `TLG00001`. */
  readonly name: string;
  /** Seconds by which the terminal's clock is ahead of UTC, when the task tells it. */
  readonly zoneOffset: number | undefined;
}

export const TASK_ROOT = 'ISO11783_TaskData';
/** Root of a file that a task file refers to. */
export const FURTHER_ROOT = 'XFC';

/** ISO 11783-10 annex D: DVC devices with DET elements, DPD process data and DPT properties; TSK tasks with TLG time logs; XFR further files. */
export function readTaskFiles(roots: readonly XmlElement[]): TaskFile {
  const tops = roots.flatMap((root) => root.children);
  const devices: DeviceDescription[] = [];
  const elements = new Map<string, { device: number; number: number }>();
  for (const element of tops.filter(({ name }) => name === 'DVC')) {
    const device = devices.length;
    const description = deviceOf(element);
    devices.push(description);
    element.children.filter(({ name }) => name === 'DET').forEach((child, i) => {
      const id = child.attributes['A'];
      if (id !== undefined) elements.set(id, { device, number: description.elements[i]?.number ?? 0 });
    });
  }
  return {
    devices,
    elements,
    logs: tops.filter(({ name }) => name === 'TSK').flatMap(logsOf),
    furtherFiles: tops.filter(({ name }) => name === 'XFR').flatMap(({ attributes }) => (/^[A-Z]{3}\d{5}$/i.test(attributes['A'] ?? '') ? [attributes['A'] as string] : [])),
  };
}

function deviceOf({ attributes, children }: XmlElement): DeviceDescription {
  const data = new Map<number, ElementData>();
  for (const child of children) {
    const id = numberOf(child.attributes['A']);
    const ddi = Number.parseInt(child.attributes['B'] ?? '', 16);
    if (Number.isNaN(ddi)) continue;
    if (child.name === 'DPD') data.set(id, { ddi, designator: child.attributes['E'] ?? '', value: undefined });
    if (child.name === 'DPT') data.set(id, { ddi, designator: child.attributes['D'] ?? '', value: numberOf(child.attributes['C']) });
  }
  return {
    designator: attributes['B'] ?? '',
    softwareVersion: attributes['C'] ?? '',
    name: (attributes['D'] ?? '').toLowerCase(),
    elements: children.filter(({ name }) => name === 'DET').map(({ attributes: about, children: references }) => ({
      objectId: numberOf(about['B']),
      type: ELEMENT_TYPES[numberOf(about['C'])] ?? 'other',
      designator: about['D'] ?? '',
      number: numberOf(about['E']),
      parent: numberOf(about['F']),
      data: references.filter(({ name }) => name === 'DOR').flatMap((reference) => data.get(numberOf(reference.attributes['A'])) ?? []),
    })),
  };
}

function logsOf(task: XmlElement): readonly TimeLogReference[] {
  const zoneOffset = task.children.filter(({ name }) => name === 'TIM').map(({ attributes }) => zoneOffsetOf(attributes['A'] ?? '')).find((offset) => offset !== undefined);
  return task.children.filter(({ name }) => name === 'TLG').flatMap(({ attributes }) => {
    const name = attributes['A'] ?? '';
    return /^[A-Z]{3}\d{5}$/i.test(name) ? [{ name, zoneOffset }] : [];
  });
}

/** `2022-10-19T17:59:16.020-05:00` → −18,000. */
function zoneOffsetOf(time: string): number | undefined {
  const match = /T.*(?:Z|([+-])(\d\d):(\d\d))$/.exec(time);
  if (match === null) return undefined;
  const [, sign, hours = '0', minutes = '0'] = match;
  return (sign === '-' ? -60 : 60) * (Number(hours) * 60 + Number(minutes));
}

function numberOf(text: string | undefined): number {
  const value = Number(text ?? '0');
  return Number.isFinite(value) ? value : 0;
}
