import type { ChannelListing, DayView } from '../../../shared/api.ts';
import { compareNaturally } from '../../../shared/glob.ts';
import type { Setup } from '../../../shared/setup.ts';
import { emptySetup } from '../../../shared/setup.ts';
import { parseSetup } from '../../../shared/setup-file.ts';
import { quantity } from '../../../shared/text.ts';

/** One lane of lines over time; all its channels share a unit. Levels in SI; labels of events carry quantity tokens. */
export interface LanePlan {
  readonly id: string;
  readonly title: string;
  readonly channels: readonly ChannelListing[];
  readonly unit: string;
  readonly levels: readonly { readonly label: string; readonly value: number }[];
  readonly events: readonly { readonly at: number; readonly label: string }[];
  /** Added by hand: can be taken away. */
  readonly isAdded: boolean;
}

/** The operator's questions in order: did it drive right, did the air hold, did the tanks empty as they should? Then whatever was added. */
export function lanePlans(view: DayView, setup: Setup, added: readonly string[]): readonly LanePlan[] {
  const first = (pattern: RegExp): readonly ChannelListing[] => firstOfEach(view.channels.filter(({ id, samples }) => samples > 0 && pattern.test(id)));
  const base = { levels: [], events: [], isAdded: false };
  const plans: LanePlan[] = [
    { ...base, id: 'speeds', title: 'Speed', unit: 'm/s', channels: first(/^(?:gnss|wheel|ground)\.speed$/) },
    { ...base, id: 'fans', title: 'Fans', unit: 'rpm', channels: first(/^fan\.\w+\.speed$/), levels: floorsOf(setup) },
    {
      ...base, id: 'tanks', title: 'Tanks', unit: 'kg', channels: first(/^tank\.\w+\.mass$/),
      events: view.episodes.filling.map(({ start, tank, massKg }) => ({ at: start, label: `tank ${tank} +${quantity.mass(massKg)}` })),
    },
    ...added.flatMap((id) => {
      const channel = view.channels.find((each) => each.id === id);
      return channel === undefined ? [] : [{ ...base, id: `channel-${id}`, title: id, unit: channel.unit, channels: [channel], isAdded: true }];
    }),
  ];
  return plans.filter(({ channels }) => channels.length > 0);
}

/** Two senders may give the same quantity: the one to trust comes first. */
function firstOfEach(channels: readonly ChannelListing[]): readonly ChannelListing[] {
  const byId = new Map<string, ChannelListing>();
  for (const channel of channels) if (!byId.has(channel.id)) byId.set(channel.id, channel);
  return [...byId.values()].sort((a, b) => compareNaturally(a.id, b.id));
}

function floorsOf(setup: Setup): LanePlan['levels'] {
  const floors = new Map<string, { label: string; value: number }>();
  for (const { fan, fanFloor } of setup.job.products) {
    if (fan !== undefined && fanFloor !== undefined) floors.set(`${fan} ${fanFloor}`, { label: `floor of fan ${fan}`, value: fanFloor });
  }
  return [...floors.values()];
}

/** The setup as the day was judged with; an empty one when none or a broken one was given. */
export function setupOf(view: DayView): Setup {
  if (view.setup === undefined || view.setup.trim() === '') return emptySetup;
  try {
    return parseSetup(JSON.parse(view.setup) as unknown, view.zone).setup;
  } catch {
    return emptySetup;
  }
}

/** `tank.1.mass` → `tank 1`, `gnss.speed` → `GNSS`, as people call it beside a lane's title. */
export function shortName(id: string, setup: Setup): string {
  const [stem = '', number = ''] = id.split('.');
  const named = stem === 'fan' ? setup.machine.fans.find((fan) => fan.id === number)?.name : stem === 'tank' ? setup.job.products.find((product) => product.tank === number)?.name : undefined;
  if (stem === 'fan' || stem === 'tank') return `${stem} ${number}${named === undefined ? '' : `, ${named}`}`;
  return id === 'gnss.speed' ? 'GNSS' : id === 'wheel.speed' ? 'wheel' : id === 'ground.speed' ? 'radar' : id;
}
