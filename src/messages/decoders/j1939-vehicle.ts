import type { MessageDefinition } from '../signal-definition.ts';

/**
 * Vehicle speed and position, SAE J1939-71 (clause numbers from memory). Speeds here are in 1/256 km/h, unlike the mm/s of ISO 11783-7.
 * 65265 counts the tractor's own wheels, with their slip: `drive.speed`.
 */
export const j1939Vehicle: readonly MessageDefinition[] = [
  {
    pgn: 65265, name: 'Cruise control / vehicle speed', clause: 'SAE J1939-71 5.3.31 (CCVS1)',
    signals: [{ channel: 'drive.speed', unit: 'km/h', startBit: 8, length: 16, factor: 1 / 256, notAvailable: 'j1939', spn: 84, trust: 80 }],
  },
  {
    pgn: 65256, name: 'Vehicle direction / speed', clause: 'SAE J1939-71 5.3.22 (VDS)',
    signals: [
      { channel: 'gnss.course', unit: 'deg', startBit: 0, length: 16, factor: 1 / 128, notAvailable: 'j1939', spn: 165, trust: 40 },
      { channel: 'gnss.speed', unit: 'km/h', startBit: 16, length: 16, factor: 1 / 256, notAvailable: 'j1939', spn: 517, trust: 40 },
      { channel: 'pitch', unit: 'deg', startBit: 32, length: 16, factor: 1 / 128, offset: -200, notAvailable: 'j1939', spn: 583, trust: 40 },
    ],
  },
  {
    /* The fields are unsigned: read as signed, every place north of 4.75° would be wrong. */
    pgn: 65267, name: 'Vehicle position', clause: 'SAE J1939-71 5.3.33 (VP)',
    signals: [
      { channel: 'gnss.lat', unit: 'deg', startBit: 0, length: 32, factor: 1e-7, offset: -210, minimum: -90, maximum: 90, notAvailable: 'j1939', spn: 584, trust: 40 },
      { channel: 'gnss.lon', unit: 'deg', startBit: 32, length: 32, factor: 1e-7, offset: -210, minimum: -180, maximum: 180, notAvailable: 'j1939', spn: 585, trust: 40 },
    ],
  },
  {
    pgn: 64502, name: 'Vehicle position 2', clause: 'SAE J1939-71 (VP2), as read in can-utils j1939_vehicle_position',
    signals: [
      { channel: 'gnss.sats', unit: '1', startBit: 0, length: 8, notAvailable: 'j1939', spn: 8128, trust: 40 },
      { channel: 'gnss.hdop', unit: '1', startBit: 8, length: 8, factor: 0.1, notAvailable: 'j1939', spn: 8129, trust: 40 },
    ],
  },
];
