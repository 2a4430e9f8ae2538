import { hitch } from './decoders/hitch.ts';
import { iso11783Speed } from './decoders/iso11783-speed.ts';
import { j1939Engine } from './decoders/j1939-engine.ts';
import { j1939Vehicle } from './decoders/j1939-vehicle.ts';
import { nmea2000 } from './decoders/nmea2000.ts';
import { timeMessages } from './decoders/time-date.ts';
import { publishedName } from './nmea2000-field.ts';
import { compileSignal, type CompiledSignal, type MessageDefinition } from './signal-definition.ts';

/** Every standard message that channels are made of. Add a family: one file in decoders/, one entry here. */
export const knownMessages: readonly MessageDefinition[] = [...iso11783Speed, ...j1939Engine, ...j1939Vehicle, ...hitch, ...nmea2000];

/** Signals of the standard messages by parameter group. */
export const knownSignals: ReadonlyMap<number, readonly CompiledSignal[]> = new Map(
  knownMessages.map((message) => [message.pgn, message.signals.map((signal) => compileSignal({ ...signal, pgn: message.pgn }))]),
);

/** Messages seen on these buses from which no channel is made, in our own words. */
const FURTHER_NAMES: Readonly<Record<number, string>> = {
  44032: 'Guidance machine status', 44288: 'Guidance command', 50944: 'Long transfer, data', 51200: 'Long transfer, control', 51968: 'Process data',
  52224: 'Request with repetition rate', 57344: 'Cab message', 59392: 'Acknowledgement', 59904: 'Request', 60160: 'Transfer, data', 60416: 'Transfer, control',
  60928: 'Address claim', 61440: 'Retarder', 61441: 'Brake controller', 61442: 'Transmission controller 1',
  61443: 'Engine controller 2', 61445: 'Transmission controller 2', 61668: 'Heartbeat', 64770: 'Implements stop switch', 64835: 'Machine selected speed command',
  65036: 'Working set member', 65037: 'Working set master', 65039: 'Language and units', 65091: 'Rear power take-off', 65092: 'Front power take-off',
  65095: 'Maintain power', 65226: 'Active fault codes', 65240: 'Commanded address', 65253: 'Engine hours', 65257: 'Fuel used', 65263: 'Engine fluids',
  65266: 'Fuel economy', 65270: 'Inlet and exhaust', 65271: 'Electrical power', 65276: 'Fuel level',
};

const names = new Map<number, string>([
  ...Object.entries(FURTHER_NAMES).map(([pgn, name]): [number, string] => [Number(pgn), name]),
  ...timeMessages.map((message): [number, string] => [message.pgn, message.name]),
  ...knownMessages.map((message): [number, string] => [message.pgn, message.name]),
]);

/** What to call a parameter group in lists; never empty. A maker's own message gets no name from elsewhere: makers reuse each other's numbers. */
export function messageName(pgn: number): string {
  if (pgn === 0xef00 || (pgn >= 0x1ef00 && pgn <= 0x1efff)) return 'Proprietary, addressed';
  if ((pgn >= 0xff00 && pgn <= 0xffff) || (pgn >= 0x1ff00 && pgn <= 0x1ffff)) return 'Proprietary, broadcast';
  return names.get(pgn) ?? publishedName(pgn) ?? `Unknown message ${pgn}`;
}
