import type { Span } from '../../../shared/span.ts';
import { formatNumber, quantity } from '../../../shared/text.ts';
import { cautions } from '../cautions.ts';
import type { DeadCell } from './cells.ts';
import { massTrace } from './mass-evidence.ts';
import type { ShareChange } from './share-change.ts';
import type { ScaleSpan } from './span-by-tickets.ts';
import type { ScaleContext } from './span-finding.ts';
import { ticketTable } from './span-finding.ts';
import type { TankTrack } from './tank-track.ts';
import type { TicketedFill } from './tickets.ts';
import { percent, tankName } from './wording.ts';

/** Everything that speaks for a lost cell; at least one witness is there. */
export interface CellWitnesses {
  /** s; 0 when it was lost before the log began. */
  readonly start: number;
  readonly dead?: DeadCell;
  readonly line?: ShareChange;
  /** kg the reading jumped by when the line changed; 0 = no jump seen. */
  readonly jump: number;
  /** Seeds per turn after ÷ before. */
  readonly counts?: { readonly ratio: number; readonly halfWidth: number };
  /** Loads after the change (or of the whole day). */
  readonly tickets?: { readonly span: ScaleSpan; readonly booked: readonly TicketedFill[] };
}

export function reportCell(track: TankTrack, witnesses: CellWitnesses, context: ScaleContext): void {
  const { say, timeline } = context;
  const { dead, line, tickets } = witnesses;
  const share = shareLeft(witnesses);
  const { start } = witnesses;
  const span: Span = { start, end: Math.max(start + 1, dead?.end ?? timeline.length) };
  const proved = dead !== undefined || (line !== undefined && (witnesses.jump < 0 || witnesses.counts !== undefined || tickets !== undefined));
  const name = tankName(track.tank);
  const numbers = { tank: name, share: percent(share.value, 0), low: percent(share.low, 0), high: percent(share.high, 0), clock: quantity.clock(start) };
  const cause = dead !== undefined ? 'frozen' : line !== undefined ? 'line' : 'tickets';
  context.report({
    code: 'scale.cell-lost', subject: `tank.${track.tank.id}`, severity: 'action', verdict: proved ? 'proved' : 'consistent',
    title: say('cellTitle', numbers),
    span, episodes: [span],
    measure: { ...share, unit: 'ratio', expected: 1 },
    consequence: { text: say('cellConsequence', { missing: percent(1 - share.value, 0) }) },
    explanation: explanation(cause, witnesses, numbers, context),
    excludes: cause === 'tickets' ? [say('spanNotMeter'), say('spanNotWheel')] : [say('cellNotLot'), say('cellNotBridge'), say('cellNotZero')],
    cannotTell: say(cause === 'frozen' ? 'cellCannotFrozen' : cause === 'line' ? 'cellCannotLine' : 'cellCannotTickets'),
    decidingCheck: say('cellCheck'),
    cautions: [cautions.K3, cautions.K8],
    channels: [...track.channels, ...(dead === undefined ? [] : [dead.channel])],
    evidence: [
      massTrace(`Scale of tank ${track.tank.id}`, track.mass, { start: 0, end: timeline.length }, [span]),
      ...(dead === undefined ? [] : [massTrace(dead.channel, timeline.mean(dead.channel) ?? track.mass, { start: 0, end: timeline.length }, [span])]),
      ...(tickets === undefined ? [] : [ticketTable(tickets.booked, context.dayStart)]),
    ],
  });
}

/** What the line or the loads measure; a dead cell's own former share where neither is long enough. */
function shareLeft({ dead, line, tickets }: CellWitnesses): { readonly value: number; readonly low: number; readonly high: number } {
  const measured = [line, tickets?.span].filter((part) => part !== undefined).toSorted((a, b) => a.high - a.low - (b.high - b.low))[0];
  if (measured !== undefined) return { value: measured.ratio, low: measured.low, high: measured.high };
  const share = dead?.share ?? 0;
  const half = dead?.shareHalfWidth ?? 0;
  return { value: 1 - share, low: Math.max(0, 1 - share - half), high: Math.min(1, 1 - share + half) };
}

function explanation(cause: 'frozen' | 'line' | 'tickets', witnesses: CellWitnesses, numbers: Readonly<Record<string, string>>, { say }: ScaleContext): string {
  const { dead, counts, tickets } = witnesses;
  if (cause === 'frozen' && dead !== undefined) {
    return say('cellWhyFrozen', { channel: dead.channel, reading: quantity.mass(dead.reading), clock: quantity.clock(dead.start), own: percent(dead.share, 0) });
  }
  if (cause === 'tickets' && tickets !== undefined) {
    const cells = Math.max(2, Math.round(1 / (1 - tickets.span.ratio)));
    return say('cellWhyTickets', {
      ...numbers, ticket: quantity.mass(tickets.span.ticketMass), gain: quantity.mass(tickets.booked.reduce((sum, fill) => sum + fill.scaleMass, 0)),
      left: String(cells - 1), cells: String(cells),
    });
  }
  return say('cellWhyLine', {
    ...numbers,
    jump: witnesses.jump === 0 ? '' : say('cellJump', { size: quantity.mass(witnesses.jump) }),
    counts: counts === undefined ? '' : say('cellCounts', { ratio: percent(counts.ratio) }),
    tickets: tickets === undefined ? '' : say('cellTickets', { ratio: formatNumber(tickets.span.ratio, 2) }),
  });
}
