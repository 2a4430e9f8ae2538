import type { MessageDefinition } from '../signal-definition.ts';

/** Engine, oils and ambient air, SAE J1939-71 (clause numbers from memory). Temperatures of 16 bits are 1/32 °C from −273 °C. */
export const j1939Engine: readonly MessageDefinition[] = [
  {
    pgn: 61444, name: 'Electronic engine controller 1', clause: 'SAE J1939-71 5.3.7 (EEC1)',
    signals: [{ channel: 'engine.speed', unit: 'rpm', startBit: 24, length: 16, factor: 0.125, notAvailable: 'j1939', spn: 190, trust: 80 }],
  },
  {
    /* PGN, resolution and offset read in public decoders; byte 1 from memory. */
    pgn: 65128, name: 'Hydraulic oil', clause: 'SAE J1939-71 (VF)',
    signals: [{ channel: 'oil.temperature', unit: '°C', startBit: 0, length: 8, offset: -40, notAvailable: 'j1939', spn: 1638, trust: 80 }],
  },
  {
    /* Tractors commonly share one oil between transmission and hydraulics (common practice, no source). */
    pgn: 65272, name: 'Transmission fluids 1', clause: 'SAE J1939-71 (TRF1)',
    signals: [{ channel: 'oil.temperature', unit: '°C', startBit: 32, length: 16, factor: 0.03125, offset: -273, notAvailable: 'j1939', spn: 177, trust: 50 }],
  },
  {
    /* Engine oil warms in minutes and says nothing of the oil that drives a fan: a channel of its own. */
    pgn: 65262, name: 'Engine temperature 1', clause: 'SAE J1939-71 5.3.28 (ET1)',
    signals: [{ channel: 'engine.oil.temperature', unit: '°C', startBit: 16, length: 16, factor: 0.03125, offset: -273, notAvailable: 'j1939', spn: 175, trust: 80 }],
  },
  {
    pgn: 65269, name: 'Ambient conditions', clause: 'SAE J1939-71 5.3.35 (AMB)',
    signals: [{ channel: 'air.temperature', unit: '°C', startBit: 24, length: 16, factor: 0.03125, offset: -273, notAvailable: 'j1939', spn: 171, trust: 80 }],
  },
];
