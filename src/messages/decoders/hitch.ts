import type { MessageDefinition } from '../signal-definition.ts';

/**
 * In-work indication of the tractor's hitches. A towed cart and drill often hang on the drawbar and use no hitch at all,
 * so this is the least trusted sign of work. Where 'in work' begins is the tractor maker's choice.
 */
export const hitch: readonly MessageDefinition[] = [
  {
    pgn: 65093, name: 'Rear hitch status', clause: 'ISO 11783-7 B.6, A.19',
    signals: [{ channel: 'implement.working', unit: '1', startBit: 14, length: 2, notAvailable: 'j1939', spn: 1877, trust: 20 }],
  },
  {
    pgn: 65094, name: 'Front hitch status', clause: 'ISO 11783-7 B.7, A.19',
    signals: [{ channel: 'implement.working', unit: '1', startBit: 14, length: 2, notAvailable: 'j1939', spn: 1876, trust: 10 }],
  },
];
