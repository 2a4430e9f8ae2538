import type { Dimension } from '../../../shared/units.ts';
import type { UnitSystem } from '../../../shared/text.ts';
import type { Path } from './draft.ts';

/** One entry of the form. Its text is kept as typed; `dimension` says what it must measure. */
export interface FieldPlan {
  readonly key: Path;
  readonly label: string;
  readonly hint?: string;
  readonly kind: 'text' | 'quantity' | 'flag' | 'list' | 'zone';
  readonly dimension?: Dimension;
  readonly example: Readonly<Record<UnitSystem, string>>;
  readonly isNeeded?: boolean;
  /** Holds long entries, such as a date and time. */
  readonly isWide?: boolean;
}

export interface ListPlan {
  /** Where the list lies. */
  readonly path: Path;
  readonly title: string;
  /** One entry in words, e.g. `tower`. */
  readonly one: string;
  readonly fields: readonly FieldPlan[];
}

export interface SectionPlan {
  readonly id: 'machine' | 'towers' | 'tanks' | 'fans' | 'timing' | 'products' | 'tickets';
  readonly title: string;
  readonly intro: string;
  readonly fields: readonly FieldPlan[];
  readonly lists: readonly ListPlan[];
}

const same = (text: string): Readonly<Record<UnitSystem, string>> => ({ metric: text, us: text });
const text = (key: string, label: string, example: string, more: Partial<FieldPlan> = {}): FieldPlan => ({ key: [key], label, kind: 'text', example: same(example), ...more });
const quantity = (key: Path, label: string, dimension: Dimension, metric: string, us: string, hint?: string): FieldPlan =>
  ({ key, label, kind: 'quantity', dimension, example: { metric, us }, ...(hint === undefined ? {} : { hint }) });
const id = (example: string, label = 'Name'): FieldPlan => text('id', label, example, { isNeeded: true });

/** The form, section by section; places as in setup.json (contract 6). */
export const SECTIONS: readonly SectionPlan[] = [
  {
    id: 'machine', title: 'Machine', intro: 'The drill and its cart, as measured and as entered in the controller.',
    fields: [
      { key: ['machine', 'name'], label: 'Name', kind: 'text', example: same('our drill') },
      quantity(['machine', 'workingWidth'], 'Working width', 'length', '18.29 m', '60 ft'),
      quantity(['machine', 'rowSpacing'], 'Row spacing', 'length', '30.5 cm', '12 in'),
      { key: ['machine', 'wheel', 'constant'], label: 'Wheel constant', kind: 'text', example: { metric: '20 pulses/m', us: '2438 pulses/400 ft' }, hint: 'As entered: pulses/m, m/pulse, pulses/100 m or pulses/400 ft. A correction comes back in the same form.' },
      quantity(['machine', 'antennaToOpeners', 'aft'], 'Openers behind antenna', 'length', '9.2 m', '30.2 ft'),
      quantity(['machine', 'antennaToOpeners', 'right'], 'Openers right of antenna', 'length', '0 m', '0 ft', 'Minus = to the left of it.'),
      quantity(['machine', 'intendedOverlap', 'passes'], 'Overlap wanted, passes', 'length', '0.15 m', '6 in'),
      quantity(['machine', 'intendedOverlap', 'ends'], 'Overlap wanted, ends', 'length', '1 m', '3 ft'),
      { key: ['machine', 'setAside'], label: 'Sensors known to be bad', kind: 'list', example: same('run.12, tank.2.mass'), hint: 'Shown, never judged. Names as in the channel list, with commas between.' },
    ],
    lists: [],
  },
  {
    id: 'towers', title: 'Towers and runs', intro: 'Which runs hang on which tower, and the section that feeds it.', fields: [],
    lists: [{ path: ['machine', 'towers'], title: 'Towers', one: 'tower', fields: [id('A'), text('runs', 'Runs', '1-10', { isNeeded: true }), text('section', 'Section', '1')] }],
  },
  {
    id: 'tanks', title: 'Tanks and meters', intro: 'Each tank with the meter under it, numbered as in the log.', fields: [],
    lists: [
      { path: ['machine', 'tanks'], title: 'Tanks', one: 'tank', fields: [id('1', 'Number'), text('name', 'Name', 'front'), quantity(['capacity'], 'Holds', 'mass', '6000 kg', '13200 lb'), text('meter', 'Meter', '1')] },
      { path: ['machine', 'meters'], title: 'Meters', one: 'meter', fields: [id('1', 'Number'), { key: ['massPerTurn'], label: 'Per turn, as entered', kind: 'quantity', dimension: 'mass', example: { metric: '0.62 kg', us: '1.37 lb' } }] },
    ],
  },
  {
    id: 'fans', title: 'Fans', intro: 'Numbered as in the log. The floor of a fan stands with its product.', fields: [],
    lists: [{ path: ['machine', 'fans'], title: 'Fans', one: 'fan', fields: [id('1', 'Number'), text('name', 'Name', 'seed fan')] }],
  },
  {
    id: 'timing', title: 'Timing', intro: 'How long the product takes from the meter to the opener, as entered in the controller.',
    fields: [
      quantity(['machine', 'delays', 'on'], 'Delay on', 'time', '3.5 s', '3.5 s'),
      quantity(['machine', 'delays', 'off'], 'Delay off', 'time', '1.0 s', '1.0 s'),
      { key: ['job', 'zone'], label: 'Time zone of the farm', kind: 'zone', example: same('America/Regina'), hint: 'Clock times are shown in it, and times without a zone are read in it.' },
    ],
    lists: [],
  },
  {
    id: 'products', title: 'Products', intro: 'What went into which tank, and what was asked of it.', fields: [],
    lists: [{
      path: ['job', 'products'], title: 'Products', one: 'product', fields: [
        text('tank', 'Tank', '1', { isNeeded: true }), text('name', 'Name', 'wheat'), quantity(['targetRate'], 'Target rate', 'massPerArea', '120 kg/ha', '107 lb/ac'),
        { key: ['seedMass'], label: 'Thousand seeds weigh', kind: 'quantity', dimension: 'mass', example: same('38 g/1000') }, text('fan', 'Fan', '1'), quantity(['fanFloor'], 'Fan floor', 'rotation', '3200 rpm', '3200 rpm'),
        { key: ['counted'], label: 'Run sensors count it', kind: 'flag', example: same('') },
      ],
    }],
  },
  {
    id: 'tickets', title: 'Weigh tickets', intro: 'What was really loaded, off a scale that is trusted: the measure of the cart’s own scale.', fields: [],
    lists: [{
      path: ['job', 'loads'], title: 'Tickets', one: 'ticket', fields: [
        text('tank', 'Tank', '1', { isNeeded: true }), text('time', 'Filled at', '2026-05-06T12:05', { isNeeded: true, isWide: true }), quantity(['mass'], 'Weight', 'mass', '3200 kg', '7050 lb'), quantity(['uncertainty'], 'Give or take', 'mass', '10 kg', '20 lb'),
      ],
    }],
  },
];

/** Unit that a bare number in the field is taken to be in, as its example has it. */
export function usualUnit(field: FieldPlan, system: UnitSystem): string {
  return field.example[system].replace(/^[−+\d.\s]+/, '');
}
