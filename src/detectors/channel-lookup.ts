import type { Channel } from '../../shared/channel.ts';

export interface ChannelLookup {
  /** The most trusted channel of that name. */
  readonly channel: (id: string) => Channel | undefined;
  /** One channel per id that matches a glob, in natural order of the numbers in it. */
  readonly channels: (glob: string) => readonly Channel[];
  /** Ids that would match, had the setup not set them aside. */
  readonly setAside: (glob: string) => readonly string[];
}

/** The channels detectors may judge: those with at least one value, without what the setup sets aside (`run.12` = all channels of run 12). */
export function createChannelLookup(channels: readonly Channel[], setAside: readonly string[]): ChannelLookup {
  const judged = new Map<string, Channel>();
  const aside = new Set<string>();
  for (const channel of channels) {
    if (!channel.value.some(Number.isFinite)) continue;
    if (setAside.some((stem) => channel.id === stem || channel.id.startsWith(`${stem}.`))) aside.add(channel.id);
    else if (!judged.has(channel.id)) judged.set(channel.id, channel);
  }
  const ordered = [...judged.values()].toSorted((a, b) => natural.compare(a.id, b.id));
  return {
    channel: (id) => judged.get(id),
    channels: (glob) => {
      const matches = globMatcher(glob);
      return ordered.filter(({ id }) => matches(id));
    },
    setAside: (glob) => [...aside].filter(globMatcher(glob)),
  };
}

const natural = new Intl.Collator('en', { numeric: true });

/** `*` stands for one part of a channel name: `run.*.count` fits `run.23.count`. */
export function globMatcher(glob: string): (id: string) => boolean {
  const pattern = glob.split('.').map((part) => part.split('*').map((text) => text.replaceAll(/[^\w-]/g, String.raw`\$&`)).join('[^.]*')).join(String.raw`\.`);
  const expression = new RegExp(`^${pattern}$`);
  return (id) => expression.test(id);
}
