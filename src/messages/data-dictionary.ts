/**
 * ISO 11783-11 process data: what a raw number is worth. Numbers as compared field by field in two open-source tables
 * (messages.md 6); names in our own words. There are no offsets in the dictionary.
 */
export interface DictionaryEntry {
  readonly ddi: number;
  readonly name: string;
  /** Spelling of shared/units.ts; `''` for states, lists and bit-fields. */
  readonly unit: string;
  /** Value in `unit` = raw × factor. */
  readonly factor: number;
}

type Row = readonly [ddi: number, name: string, unit?: string, factor?: number];

/* Beware: 81 and 266 are kg while 75 and 352 are g; 272 is m while 117 is mm. */
const ROWS: readonly Row[] = [
  [6, 'set rate, mass per area', 'mg/m²'], [7, 'actual rate, mass per area', 'mg/m²'], [8, 'default rate, mass per area', 'mg/m²'],
  [9, 'lowest rate, mass per area', 'mg/m²'], [10, 'highest rate, mass per area', 'mg/m²'],
  [11, 'set rate, count per area', '1/m²', 0.001], [12, 'actual rate, count per area', '1/m²', 0.001], [13, 'default rate, count per area', '1/m²', 0.001],
  [14, 'lowest rate, count per area', '1/m²', 0.001], [15, 'highest rate, count per area', '1/m²', 0.001],
  [16, 'set seed spacing', 'mm'], [17, 'actual seed spacing', 'mm'], [18, 'default seed spacing', 'mm'], [19, 'smallest seed spacing', 'mm'], [20, 'largest seed spacing', 'mm'],
  [41, 'set flow, mass per time', 'kg/s', 1e-6], [42, 'actual flow, mass per time', 'kg/s', 1e-6], [43, 'default flow, mass per time', 'kg/s', 1e-6],
  [44, 'lowest flow, mass per time', 'kg/s', 1e-6], [45, 'highest flow, mass per time', 'kg/s', 1e-6],
  [46, 'set flow, count per time', '1/s', 0.001], [47, 'actual flow, count per time', '1/s', 0.001], [48, 'default flow, count per time', '1/s', 0.001],
  [49, 'lowest flow, count per time', '1/s', 0.001], [50, 'highest flow, count per time', '1/s', 0.001],
  [56, 'set seeding depth', 'mm'], [57, 'actual seeding depth', 'mm'], [58, 'default seeding depth', 'mm'], [59, 'least seeding depth', 'mm'], [60, 'greatest seeding depth', 'mm'],
  [66, 'set working width', 'mm'], [67, 'actual working width', 'mm'], [68, 'default working width', 'mm'], [69, 'least working width', 'mm'], [70, 'full working width', 'mm'],
  [71, 'set volume content', 'l', 0.001], [72, 'actual volume content', 'l', 0.001], [73, 'largest volume content', 'l', 0.001],
  [74, 'set mass content', 'g'], [75, 'actual mass content', 'g'], [76, 'largest mass content', 'g'],
  [77, 'set count content', 'count'], [78, 'actual count content', 'count'], [79, 'largest count content', 'count'],
  [80, 'volume applied', 'l'], [81, 'mass applied', 'kg'], [82, 'count applied', 'count'],
  [116, 'area worked', 'm²'], [117, 'distance while working', 'mm'], [118, 'distance while not working', 'mm'], [119, 'time working', 's'], [120, 'time not working', 's'],
  [121, 'product density', ''], [122, 'thousand-seed mass', ''], [123, 'thousand-seed volume', ''],
  [134, 'offset forward', 'mm'], [135, 'offset to the right', 'mm'], [136, 'offset vertical', 'mm'],
  [140, 'set rate, share', 'ppm'], [141, 'actual work state', ''], [142, 'set-point latency', 'ms'], [143, 'actual-value latency', 'ms'],
  [157, 'connector type', ''], [158, 'prescription control', ''], [159, 'rows in a section', ''], [160, 'section control', ''], [178, 'element type instance', ''],
  [179, 'kind of work', ''], [192, 'ambient temperature', 'K', 0.001], [193, 'set product pressure', 'Pa', 0.1], [194, 'actual product pressure', 'Pa', 0.1],
  [195, 'least product pressure', 'Pa', 0.1], [196, 'greatest product pressure', 'Pa', 0.1], [197, 'set pump pressure', 'Pa', 0.1], [198, 'actual pump pressure', 'Pa', 0.1],
  [201, 'set agitation pressure', 'Pa', 0.1], [202, 'actual agitation pressure', 'Pa', 0.1], [205, 'entered on delay', 'ms'], [206, 'entered off delay', 'ms'],
  [209, 'relative humidity', '%'], [215, 'lifetime working hours', 'h', 0.05],
  [229, 'net weight', 'g'], [230, 'net weight state', ''], [231, 'set net weight', 'g'], [232, 'gross weight', 'g'], [233, 'gross weight state', ''],
  [234, 'least gross weight', 'g'], [235, 'greatest gross weight', 'g'],
  [254, 'set separation fan speed', 'rps', 0.001], [255, 'actual separation fan speed', 'rps', 0.001],
  [264, 'connector pivot offset', 'mm'], [265, 'area left', 'm²'], [266, 'lifetime mass applied', 'kg'], [267, 'lifetime count applied', 'count'],
  [271, 'lifetime area', 'm²'], [272, 'lifetime distance while working', 'm'], [273, 'lifetime distance while not working', 'm'],
  [274, 'lifetime time working', 's'], [275, 'lifetime time not working', 's'], [287, 'set prescription mode', ''], [288, 'actual prescription mode', ''], [289, 'set work state', ''],
  [306, 'rotation point forward', 'mm'], [307, 'rotation point to the right', 'mm'], [308, 'actual rate, share', 'ppm'], [309, 'lowest rate, share', 'ppm'], [310, 'highest rate, share', 'ppm'],
  [320, 'last mass loaded', 'g'], [321, 'last mass unloaded', 'g'], [325, 'lifetime volume applied', 'l'], [351, 'volume applied, fine', 'l', 0.001], [352, 'mass applied, fine', 'g'],
  [365, 'set downforce pressure', 'Pa'], [366, 'actual downforce pressure', 'Pa'], [386, 'atmospheric pressure', 'Pa', 0.1],
  [387, 'turns, in parts', 'turn', 0.0001], [388, 'turns', 'turn'], [389, 'set speed of rotation', 'rpm', 0.0001], [390, 'actual speed of rotation', 'rpm', 0.0001],
  [391, 'default speed of rotation', 'rpm', 0.0001], [392, 'least speed of rotation', 'rpm', 0.0001], [393, 'greatest speed of rotation', 'rpm', 0.0001],
  [396, 'set ground speed', 'mm/s'], [397, 'actual ground speed', 'mm/s'], [398, 'least ground speed', 'mm/s'], [399, 'greatest ground speed', 'mm/s'], [400, 'speed source', ''],
  [415, 'singulation', 'ppm'], [416, 'singulation, average', 'ppm'], [417, 'skips', 'ppm'], [418, 'skips, average', 'ppm'], [419, 'multiples', 'ppm'], [420, 'multiples, average', 'ppm'],
  [421, 'spacing deviation', 'mm'], [422, 'spacing deviation, average', 'mm'], [423, 'spacing variation', 'ppm'], [424, 'spacing variation, average', 'ppm'], [425, 'allowed spacing deviation', 'mm'],
  [426, 'set downforce', 'N'], [427, 'actual downforce', 'N'], [428, 'mass loaded', 'kg'], [429, 'mass unloaded', 'kg'], [430, 'lifetime mass loaded', 'kg'], [431, 'lifetime mass unloaded', 'kg'],
  [467, 'actual content, share', '%', 0.01], [471, 'set kind of work', ''], [484, 'engine speed', 'rpm', 0.0001],
  [505, 'tramline level', ''], [506, 'set tramline level', ''], [507, 'tramline sequence', ''], [515, 'tramline state', ''], [516, 'tramline overdosing', 'ppm'],
  [517, 'set tramline states', ''], [518, 'actual tramline states', ''], [541, 'actual shaft speed', 'rpm', 0.0001], [542, 'set shaft speed', 'rpm', 0.0001], [597, 'distance', 'mm'],
  [670, 'tramline width', 'mm'], [671, 'tramline tyre width', 'mm'], [672, 'tramline wheel distance', 'mm'],
  [57342, 'slice of a bus message', ''], [57343, 'request for the default set', ''],
];

export const ACTUAL_STATES = 161;
export const SET_STATES = 290;
/** 161–176 and 290–305: sixteen sections each, two bits per section, the lowest bits are the leftmost section. */
export const STATE_GROUPS = 16;
export const SECTIONS_PER_GROUP = 16;

const states = (first: number, name: string): DictionaryEntry[] => Array.from({ length: STATE_GROUPS }, (_, group) => ({
  ddi: first + group, name: `${name}, sections ${group * SECTIONS_PER_GROUP + 1}–${(group + 1) * SECTIONS_PER_GROUP}`, unit: '', factor: 1,
}));

const entries: ReadonlyMap<number, DictionaryEntry> = new Map(
  [...ROWS.map(([ddi, name, unit = '', factor = 1]): DictionaryEntry => ({ ddi, name, unit, factor })), ...states(ACTUAL_STATES, 'actual states'), ...states(SET_STATES, 'set states')]
    .map((entry) => [entry.ddi, entry]),
);

/** Undefined for a number that is not in the table, e.g. a maker's own (57344–65534). */
export function dictionaryEntry(ddi: number): DictionaryEntry | undefined {
  return entries.get(ddi);
}

/** Group of sixteen sections that a condensed work state covers, from 0; undefined for other data. */
export function stateGroup(ddi: number): { readonly kind: 'actual' | 'set'; readonly group: number } | undefined {
  if (ddi >= ACTUAL_STATES && ddi < ACTUAL_STATES + STATE_GROUPS) return { kind: 'actual', group: ddi - ACTUAL_STATES };
  if (ddi >= SET_STATES && ddi < SET_STATES + STATE_GROUPS) return { kind: 'set', group: ddi - SET_STATES };
  return undefined;
}
