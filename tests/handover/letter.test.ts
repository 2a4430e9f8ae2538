import { describe, expect, it } from 'vitest';
import { parseSetup } from '../../shared/setup-file.ts';
import { analyse } from '../../src/analyse.ts';
import { letter } from '../../src/handover/letter.ts';
import { scenario } from '../support/world/scenario.ts';

function letterOf(id: string): string {
  const world = scenario(id).build(1);
  const analysis = analyse({ start: world.dayStart, duration: world.duration, channels: world.channels, logs: [], messages: [], gaps: [] }, parseSetup(world.setup).setup);
  return letter(analysis, { units: 'metric', zone: 'UTC', dayStart: world.dayStart });
}

/** What is said of one finding, by its number. */
const part = (text: string, number: number): string => new RegExp(`^${number}\\. [\\s\\S]*?^ {3}[a-z]+\\.[a-z-]+ \\S+$`, 'm').exec(text)?.[0] ?? '';

describe('the letter', () => {
  const text = letterOf('M3');

  it('on a day with three faults begins with how many there are and the first of them', () => {
    expect(text.split('\n\n')[1]).toBe('Three things to put right. First: The speed wheel reads 4.8 % high.');
    expect([1, 2, 3].map((number) => /^\d\. ([A-Z]+) {2}([^ ]+ [^ ]+)/.exec(part(text, number))?.slice(1))).toEqual([['ACTION', 'The speed'], ['ACTION', 'Fan 1'], ['ACTION', 'Run 47']]);
    expect(part(text, 4)).toBe('');
  });

  it('says of each why, what it cost, what it leaves open and the one check, in fewer than 200 words', () => {
    for (const number of [1, 2, 3]) {
      const own = part(text, number);
      for (const label of ['When', 'Why', 'Cost', 'Ruled out', 'Cannot tell', 'Settle it']) expect(own, label).toContain(`\n   ${label} `);
      expect(own.split(/\s+/).length, own).toBeLessThan(200);
    }
  });

  it('names the rate that is off once, under the wheel that is its cause', () => {
    expect(text.match(/more than ordered/g)).toHaveLength(1);
    expect(part(text, 1)).toContain('put down 4.7 % more than ordered');
  });

  it('has no share of 0 % from 0 % to 0 %, and no cause twice in a list', () => {
    expect(text.replace(/\s+/g, ' ')).not.toMatch(/\b0 % \(0 % to 0 %\)/);
    const ruledOut = /Ruled out ([\s\S]*?)\n {3}\S/.exec(part(text, 3))?.[1]?.replace(/\s+/g, ' ').split(/; (?:and )?/) ?? [];
    expect(ruledOut.length).toBeGreaterThan(3);
    expect(new Set(ruledOut).size).toBe(ruledOut.length);
  });

  it('does not say the same check twice', () => {
    const delays = letterOf('S11').replace(/\s+/g, ' ');
    expect(delays.match(/Stopwatch test, parked/g)).toHaveLength(1);
    expect(delays).toContain('Settle it As for 1.');
  });
});
