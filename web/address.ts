import type { UnitSystem } from '../shared/text.ts';

/** The three questions a day answers, and what the answers rest on: the setup and the logs. */
export type ReadingName = 'fix' | 'day' | 'rates' | 'setup' | 'logs';
const READING_NAMES: readonly ReadingName[] = ['fix', 'day', 'rates', 'setup', 'logs'];

/** The whole view as it stands in the address, so that a link reproduces it. Times are seconds from the day's start. */
export interface Address {
  readonly day?: string;
  readonly reading: ReadingName;
  readonly finding?: string;
  readonly from?: number;
  readonly to?: number;
  /** Position of the cursor or of the replay. */
  readonly at?: number;
  readonly channels: readonly string[];
  readonly units: UnitSystem;
  /** Channel shown as colour on the map. */
  readonly colour?: string;
  /** Kept days that are compared on the start page. */
  readonly before?: string;
  readonly after?: string;
}

export const startAddress: Address = { reading: 'fix', channels: [], units: 'metric' };

export function parseAddress(hash: string): Address {
  const words = new URLSearchParams(hash.replace(/^#/, ''));
  const number = (key: string): number | undefined => {
    const text = words.get(key);
    const value = Number(text);
    return text === null || text === '' || !Number.isFinite(value) ? undefined : value;
  };
  const text = (key: string): string | undefined => words.get(key) ?? undefined;
  const reading = words.get('reading');
  const from = number('from');
  const to = number('to');
  return withoutUndefined({
    day: text('day'),
    reading: READING_NAMES.find((name) => name === reading) ?? 'fix',
    finding: text('finding'),
    from: from !== undefined && to !== undefined && from < to ? from : undefined,
    to: from !== undefined && to !== undefined && from < to ? to : undefined,
    at: number('at'),
    channels: (words.get('channels') ?? '').split(',').filter((id) => id !== ''),
    units: words.get('units') === 'us' ? 'us' : 'metric',
    colour: text('colour'),
    before: text('before'),
    after: text('after'),
  });
}

export function formatAddress(address: Address): string {
  const words = new URLSearchParams();
  const round = (value: number): string => String(Math.round(value * 1000) / 1000);
  if (address.day !== undefined) words.set('day', address.day);
  words.set('reading', address.reading);
  if (address.finding !== undefined) words.set('finding', address.finding);
  if (address.from !== undefined && address.to !== undefined) {
    words.set('from', round(address.from));
    words.set('to', round(address.to));
  }
  if (address.at !== undefined) words.set('at', round(address.at));
  if (address.channels.length > 0) words.set('channels', address.channels.join(','));
  if (address.units === 'us') words.set('units', 'us');
  if (address.colour !== undefined) words.set('colour', address.colour);
  if (address.before !== undefined) words.set('before', address.before);
  if (address.after !== undefined) words.set('after', address.after);
  return `#${words}`;
}

function withoutUndefined(members: { [K in keyof Address]: Address[K] | undefined }): Address {
  return Object.fromEntries(Object.entries(members).filter(([, member]) => member !== undefined)) as unknown as Address;
}
