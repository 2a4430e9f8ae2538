import { expect, test } from 'vitest';
import { withUnits } from '../../web/panels/findings/with-units.ts';

const marked = (text: string): string => withUnits(text).replaceAll('\u00a0', '_');

test('units stay beside their numbers, other words do not', () => {
  expect(marked('Run 12 has read 29 % under its tower')).toBe('Run 12 has read 29_% under its tower');
  expect(marked('rose by 9.4 % (7.4 % to 11.5 %) in 8 min 34 s')).toBe('rose by 9.4_% (7.4_% to 11.5_%) in 8_min 34_s');
  expect(marked('0.035 ha of one row (1159 m), 120.0 kg/ha, 3200 rpm.')).toBe('0.035_ha of one row (1159_m), 120.0_kg/ha, 3200_rpm.');
  expect(marked('run 47 has counted 55 sensors, 3 meters, 2 hours and 4 mates')).toBe('run 47 has counted 55 sensors, 3 meters, 2 hours and 4 mates');
});
