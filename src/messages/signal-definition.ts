import { channelKind, conversion } from '../../shared/channel-names.ts';
import { bytesNeeded, compileColumn, compileField, type ColumnReader, type FieldDefinition, type FieldReader, type Selector } from './signal.ts';

/** One number of one message and the channel it becomes: the same for our own tables, signals.json and DBC files. */
export interface SignalDefinition extends FieldDefinition {
  readonly channel: string;
  /** Unit of raw × factor + offset, as spelled in shared/units.ts. */
  readonly unit: string;
  /** Either the parameter group … */
  readonly pgn?: number;
  /** … or one whole identifier, 29-bit ones with bit 31 set. */
  readonly id?: number;
  /** The message carries this signal only when the selector fits. */
  readonly selector?: Selector;
  /** Only from this sender: its address, or its NAME as 16 hex digits (most significant first). */
  readonly source?: number | string;
  readonly spn?: number;
  /** Which of several senders of one quantity comes first: the higher. */
  readonly trust: number;
}

/** What a user defined is what a user wants to see. */
export const USER_TRUST = 100;

/** One message of a standard. */
export interface MessageDefinition {
  readonly pgn: number;
  readonly name: string;
  /** Clause of the standard, or what else the layout was read in. */
  readonly clause: string;
  readonly signals: readonly Omit<SignalDefinition, 'pgn' | 'id'>[];
}

/** A signal ready to be read: values come out in the channel's unit. */
export interface CompiledSignal {
  readonly definition: SignalDefinition;
  /** Bytes the message must have. */
  readonly needs: number;
  readonly read: FieldReader;
  /** The same from many messages of eight bytes; only where `needs` is not more. */
  readonly readMany: ColumnReader;
}

/** Channels that are 0 or 1; anything else on the wire, e.g. 10 'error' in two bits, is not available. */
const IS_FLAG = /^(?:section\.\d+\.(?:on|actual)|run\.\d+\.blocked|implement\.working)$/;

/** Throws RangeError when the channel or unit is unknown: definitions are checked before they come here. */
export function compileSignal(definition: SignalDefinition): CompiledSignal {
  const kind = channelKind(definition.channel);
  const scale = kind === undefined ? undefined : conversion(definition.unit, kind);
  if (scale === undefined) throw new RangeError(`${definition.channel} in "${definition.unit}"`);
  const convert = (value: number): number => value * scale.factor + scale.offset;
  const [minimum, maximum] = IS_FLAG.test(definition.channel) ? [0, 1] : [definition.minimum, definition.maximum];
  const field: FieldDefinition = {
    ...definition,
    factor: (definition.factor ?? 1) * scale.factor,
    offset: convert(definition.offset ?? 0),
    ...(minimum === undefined ? {} : { minimum: convert(minimum) }),
    ...(maximum === undefined ? {} : { maximum: convert(maximum) }),
  };
  return {
    definition,
    needs: bytesNeeded(definition),
    read: compileField(field),
    readMany: compileColumn(field),
  };
}
