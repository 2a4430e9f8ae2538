import { quantity } from '../../../shared/text.ts';
import { defineDetector, type DetectorOutcome } from '../detector.ts';
import { clockFindings } from './clock-finding.ts';
import { counterResets } from './counter-resets.ts';
import { allChannels } from './file-silences.ts';
import { gapFindings } from './gap-finding.ts';
import { gnssFinding, type LogQualityContext } from './gnss-finding.ts';
import { gnssLosses } from './gnss-losses.ts';
import { logQualityMessages } from './messages.ts';
import { logQualityOptions } from './options.ts';

export const logQuality = defineDetector({
  meta: {
    id: 'log-quality',
    title: 'What the logs leave out',
    docs: {
      what: 'Where the log itself is silent or cannot be trusted: GNSS frozen, silent, without fix or without its correction; logs or groups of channels without samples while the machine worked; clocks that had to be moved.',
      why: 'A gap looks like bare ground, a frozen position like a stop, a clock that is off like a delay. Every other check leaves these stretches out, and the reader has to know how much was left out.',
      how: 'A position that repeats to the last digit for 5 s while wheels turn is frozen. A log is silent when none of its busiest channels has a sample for 5 s; only silences with work before and after, or with a move over them, are told. A correction counts as lost when the reported fix is worse than over most of the day\'s work for 30 s. Ground is the way by wheel, else by usual speed, times the width.',
      fooledBy: 'A receiver that coasts on with invented positions when it loses the sky looks sound. Without any wheel, radar or tractor speed a frozen position with speed 0 looks like a stop. Senders that only send on change are never called silent.',
      source: 'Hand-over of ground to wheel speed at 0.5 m/s: ISO 11783-7. Kinds of fix: NMEA 2000 PGN 129029. Dilution limits: common practice, no source.',
    },
    codes: ['log.gnss-lost', 'log.gap', 'log.clock-offset'],
    requires: [],
    messages: logQualityMessages,
  },
  defaults: logQualityOptions,
  detect,
});

function detect(context: LogQualityContext): DetectorOutcome {
  const { say, options } = context;
  const channels = allChannels(context);
  if (channels.length === 0) return { status: 'not-logged', why: say('whyNothing') };
  const drafts = [
    ...gnssLosses(context, options).map((loss) => gnssFinding(context, loss)),
    ...gapFindings(context),
    ...clockFindings(context),
  ];
  drafts.forEach(context.report);
  const files = new Set(context.logs.length > 0 ? context.logs.map(({ file }) => file) : channels.map(({ source }) => source.file)).size;
  const logs = files === 1 ? say('oneLog') : say('manyLogs', { count: String(files) });
  const hasGnss = context.channels('gnss.*').length > 0;
  const summary = say(drafts.length > 0 ? 'whyFound' : hasGnss ? 'whyFine' : 'whyFineNoGnss', { logs });
  return { status: 'ran', why: [summary, ...notesOf(context)].join(' ') };
}

/** Things known and dealt with. */
function notesOf(context: LogQualityContext): readonly string[] {
  const { say, logs } = context;
  const resets = counterResets(allChannels(context)).slice(0, 3).map(({ time, channels }) => say('noteReset', { clock: quantity.clock(time), channels: channels.join(', ') }));
  const clocks = logs.flatMap(({ file, notes }) => notes.filter((note) => TOLD.test(note)).slice(0, 2).map((note) => say('noteClock', { file, note })));
  return [...resets, ...clocks];
}

/** The reading's remarks on a log's clock that are no finding. */
const TOLD = /clock (?:was set back|read )|no wall clock|could not be compared/;
