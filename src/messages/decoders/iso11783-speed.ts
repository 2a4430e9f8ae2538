import type { MessageDefinition } from '../signal-definition.ts';

/** Speeds and distances from the tractor ECU, ISO 11783-7. All in mm/s and mm; two bits of `direction` are not used. */
export const iso11783Speed: readonly MessageDefinition[] = [
  {
    pgn: 65096, name: 'Wheel-based speed and distance', clause: 'ISO 11783-7 B.3, A.8–A.12',
    signals: [
      { channel: 'wheel.speed', unit: 'm/s', startBit: 0, length: 16, factor: 0.001, notAvailable: 'j1939', spn: 1862, trust: 80 },
      { channel: 'wheel.distance', unit: 'm', startBit: 16, length: 32, factor: 0.001, notAvailable: 'j1939', spn: 1863, trust: 80 },
      /* The operator's master switch for the implement: nearer to the ground work than the hitch, farther than a work-state report. */
      { channel: 'implement.working', unit: '1', startBit: 60, length: 2, notAvailable: 'j1939', spn: 5203, trust: 40 },
    ],
  },
  {
    pgn: 65097, name: 'Ground-based speed and distance', clause: 'ISO 11783-7 B.2',
    signals: [
      { channel: 'ground.speed', unit: 'm/s', startBit: 0, length: 16, factor: 0.001, notAvailable: 'j1939', spn: 1859, trust: 80 },
      { channel: 'ground.distance', unit: 'm', startBit: 16, length: 32, factor: 0.001, notAvailable: 'j1939', spn: 1860, trust: 80 },
    ],
  },
  {
    pgn: 61474, name: 'Machine selected speed', clause: 'ISO 11783-7 B.28.1',
    signals: [
      { channel: 'selected.speed', unit: 'm/s', startBit: 0, length: 16, factor: 0.001, notAvailable: 'j1939', spn: 4305, trust: 80 },
      /* 0 wheel, 1 ground, 2 navigation, 3 blended, 4 simulated: with 4 the machine stands still. */
      { channel: 'selected.source', unit: '1', startBit: 58, length: 3, notAvailable: 'j1939', maximum: 4, spn: 4308, trust: 80 },
    ],
  },
];

/** `selected.source`: the speed is made up for a test, nothing moves (SPN 4308). */
export const SIMULATED_SPEED = 4;
