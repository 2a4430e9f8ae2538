import { NULL_ADDRESS } from './identifier.ts';

/** A device's NAME (SAE J1939-81, ISO 11783-5; messages.md 8). */
export interface DeviceName {
  /** 16 hex digits, most significant first. */
  readonly hex: string;
  readonly identityNumber: number;
  readonly manufacturerCode: number;
  readonly functionInstance: number;
  readonly ecuInstance: number;
  readonly function: number;
  /** 4 planters and seeders, 5 fertilizer, 6 sprayers. */
  readonly deviceClass: number;
  readonly deviceClassInstance: number;
  /** 0 global, 2 agriculture, 4 marine. */
  readonly industryGroup: number;
  readonly isArbitraryAddressCapable: boolean;
}

/** NAME function of a task controller in the agricultural industry group. */
export const TASK_CONTROLLER_FUNCTION = 130;

/** Payload of PGN 60928, 8 bytes. */
export function parseName(data: Uint8Array, at: number): DeviceName {
  const byte = (index: number): number => data[at + index] as number;
  const low = (byte(0) | byte(1) << 8 | byte(2) << 16 | byte(3) << 24) >>> 0;
  return {
    hex: Array.from({ length: 8 }, (_, i) => byte(7 - i).toString(16).padStart(2, '0')).join(''),
    identityNumber: low & 0x1fffff,
    manufacturerCode: low >>> 21,
    ecuInstance: byte(4) & 7,
    functionInstance: byte(4) >> 3,
    function: byte(5),
    deviceClass: byte(6) >> 1,
    deviceClassInstance: byte(7) & 15,
    industryGroup: (byte(7) >> 4) & 7,
    isArbitraryAddressCapable: byte(7) >> 7 === 1,
  };
}

/** One sender on one bus. It stays the same object when the device moves to another address. */
export interface Sender {
  readonly bus: number;
  /** Unique within a log. */
  readonly key: number;
  /** The address it holds, or held last. */
  address: number;
  /** Known once an address claim was logged. */
  name: DeviceName | undefined;
}

export interface Names {
  /** Who sends from this address now. A log that begins in mid-session knows senders without a NAME. */
  readonly sender: (bus: number, address: number) => Sender;
  /** Takes an address claim; returns the addresses of that bus whose sender is another one, or has a NAME, since. */
  readonly claim: (bus: number, address: number, name: DeviceName) => readonly number[];
}

/** A bus has 254 addresses; more NAMEs than this on one bus are noise. */
const MOST_NAMES = 4096;

export function createNames(): Names {
  const holders = new Map<number, Sender>();
  const byName = new Map<string, Sender>();
  let nextKey = 0;
  const place = (bus: number, address: number): number => bus * 256 + address;
  const create = (bus: number, address: number, name: DeviceName | undefined): Sender => {
    const sender: Sender = { bus, key: nextKey++, address, name };
    holders.set(place(bus, address), sender);
    return sender;
  };

  return {
    sender: (bus, address) => holders.get(place(bus, address)) ?? create(bus, address, undefined),
    claim: (bus, address, name) => {
      const key = `${bus}/${name.hex}`;
      const known = byName.get(key);
      const holder = holders.get(place(bus, address));
      if (address >= NULL_ADDRESS) {
        /* 'Cannot claim': it has no address any more. */
        if (known === undefined || holders.get(place(bus, known.address)) !== known) return [];
        holders.delete(place(bus, known.address));
        return [known.address];
      }
      if (known !== undefined) {
        if (holder === known) return [];
        const before = known.address;
        if (holders.get(place(bus, before)) === known) holders.delete(place(bus, before));
        holders.set(place(bus, address), known);
        known.address = address;
        return [before, address];
      }
      if (byName.size >= MOST_NAMES) return [];
      /* The first claim from an address tells who has been sending there; a claim over another NAME is a new device. */
      const claimant = holder === undefined || holder.name !== undefined ? create(bus, address, name) : holder;
      claimant.name = name;
      byName.set(key, claimant);
      return [address];
    },
  };
}
