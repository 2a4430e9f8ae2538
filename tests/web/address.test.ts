import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { formatAddress, parseAddress, startAddress, type Address } from '../../web/address.ts';

const word = fc.string({ unit: 'grapheme', minLength: 1, maxLength: 40 });
const time = fc.integer({ min: 0, max: 86_400_000 }).map((milliseconds) => milliseconds / 1000);

/** Any view a reader can be in. */
const anyAddress: fc.Arbitrary<Address> = fc.record({
  reading: fc.constantFrom<Address['reading'][]>('fix', 'day', 'rates', 'setup', 'logs'),
  units: fc.constantFrom<Address['units'][]>('metric', 'us'),
  channels: fc.array(fc.stringMatching(/^[a-z]+(?:\.[a-z0-9]+){1,3}$/), { maxLength: 8 }),
  day: word, finding: word, colour: word, before: word, after: word, at: time,
}, { requiredKeys: ['reading', 'units', 'channels'] });

describe('the address holds the whole view', () => {
  test('what is written is read back, for any view', () => {
    fc.assert(fc.property(anyAddress, (address) => {
      expect(parseAddress(formatAddress(address))).toEqual(address);
    }));
  });

  test('with any range that runs forwards', () => {
    fc.assert(fc.property(time, time, (one, other) => {
      fc.pre(one !== other);
      const [from, to] = [Math.min(one, other), Math.max(one, other)];
      expect(parseAddress(formatAddress({ ...startAddress, from, to }))).toMatchObject({ from, to });
    }));
  });

  test('nonsense is read as the start, never as an error', () => {
    expect(parseAddress('')).toEqual(startAddress);
    expect(parseAddress('#reading=<b>&units=stone&from=5&to=1&at=NaN&channels=,,')).toEqual(startAddress);
    fc.assert(fc.property(fc.string(), (hash) => { expect(parseAddress(hash).channels).not.toContain(''); }));
  });
});
