import { channelKind, conversion, suggestChannels, unitsFor, type ChannelKind } from '../../../shared/channel-names.ts';
import type { Unit } from '../../../shared/units.ts';

/** A heading that names a channel: value in the channel's unit = value as written × factor + offset. */
export interface ChannelHeading {
  readonly channel: string;
  readonly unit: Unit;
  readonly factor: number;
  readonly offset: number;
}

export interface UnknownHeading {
  /** Channels that may be meant, most likely first. */
  readonly suggestions: readonly string[];
  /** Set when the channel is known but its unit is not usable: the end of a sentence about the heading. */
  readonly problem?: string;
}

export type HeadingMeaning = ChannelHeading | UnknownHeading;

/**
 * Units of columns headed without one, where they differ from the channel's own (contract 4):
 * courses are written in degrees, rates in kg/ha.
 */
const USUAL_UNIT: readonly (readonly [RegExp, string])[] = [[/^gnss\.course$/, 'deg'], [/^meter\.\d+\.target$/, 'kg/ha']];

/** `fan.1.speed`, `wheel.speed [km/h]` or `wheel.speed (km/h)` → channel and conversion (contract 3). */
export function mapHeading(text: string): HeadingMeaning {
  const { name, unit } = splitHeading(text);
  const id = name.toLowerCase();
  const channel = channelKind(id);
  if (channel === undefined) return { suggestions: suggestChannels(text) };
  return meaningOf(id, channel, unit) ?? { suggestions: [id], problem: unitProblem(id, channel, unit ?? '') };
}

/** The channel with a unit given apart; undefined when the unit does not fit it. */
export function meaningOf(id: string, channel: ChannelKind, unit: string | undefined): ChannelHeading | undefined {
  const written = unit ?? USUAL_UNIT.find(([pattern]) => pattern.test(id))?.[1];
  if (written === undefined) return { channel: id, unit: channel.unit, factor: 1, offset: 0 };
  const converted = conversion(written, channel);
  return converted === undefined ? undefined : { channel: id, unit: channel.unit, ...converted };
}

export function unitProblem(id: string, channel: ChannelKind, unit: string): string {
  return `gives ${id} the unit "${unit}", which does not fit; known for it are ${unitsFor(channel).join(', ')}`;
}

/** `name [unit]`, `name (unit)`, each also with the mark of a repeated heading, ` (2)`, behind it. */
export function splitHeading(text: string): { readonly name: string; readonly unit?: string } {
  const plain = text.trim().replace(/ \(\d+\)$/, '');
  const match = /^([^[(]*)(?:\[([^\]]*)\]|\(([^)]*)\))$/.exec(plain);
  if (match === null) return { name: plain };
  const unit = (match[2] ?? match[3] ?? '').trim();
  return { name: (match[1] ?? '').trim(), ...(unit === '' ? {} : { unit }) };
}
