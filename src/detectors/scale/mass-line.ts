import type { Span } from '../../../shared/span.ts';
import { fitCorrelated, type CorrelatedFit, type FitRow } from './correlated-fit.ts';
import type { TankTrack } from './tank-track.ts';

/** Mean readings over one block of seconds. */
export interface MassBlock extends Span {
  /** kg, mean scale reading. */
  readonly mass: number;
  /** Mean of the fed turns since the day's start. */
  readonly fed: number;
  /** Means of pitch, pitch² and mass × pitch; 0 when pitch is not logged. */
  readonly pitch: number;
  readonly pitchSquared: number;
  readonly massPitch: number;
  /** Which of the given stretches it lies in. */
  readonly stretch: number;
}

/** How fast the scale reading falls with the turns of the meter. */
export interface MassLine {
  /** kg by the scale per turn that fed. */
  readonly perTurn: number;
  /** Standard uncertainty of `perTurn`, kg. */
  readonly uncertainty: number;
  readonly degreesOfFreedom: number;
  /** Turns fed while the line was followed. */
  readonly turns: number;
  /** Standard deviation of the block means about the line, kg. */
  readonly scatter: number;
  readonly blocks: readonly MassBlock[];
  readonly fit: CorrelatedFit;
}

export interface BlockOptions {
  /**
   * Long against the scale's bounce (about 2 s), short against its slow wander (minutes), so that neighbouring blocks are
   * related and the fit can see how much. trade.md f.1, from memory.
   */
  readonly blockSeconds: number;
  /** Share of a block's seconds that must have a reading. */
  readonly leastShare: number;
}

/** s; scenarios.md section 0, trade.md f.1 ("over minutes"), from memory. */
const FORGETS = 180;

export const blockDefaults: BlockOptions = { blockSeconds: 120, leastShare: 0.6 };

/** Blocks inside stretches in which nothing was loaded; a stretch is cut into equal blocks of about `blockSeconds`. */
export function massBlocks(track: TankTrack, stretches: readonly Span[], { blockSeconds, leastShare }: BlockOptions = blockDefaults): readonly MassBlock[] {
  const blocks: MassBlock[] = [];
  stretches.forEach((stretch, index) => {
    const length = stretch.end - stretch.start;
    const count = Math.max(1, Math.round(length / blockSeconds));
    for (let b = 0; b < count; b++) {
      const from = Math.round(stretch.start + (b * length) / count);
      const to = Math.round(stretch.start + ((b + 1) * length) / count);
      const block = blockOf(track, from, to, index, leastShare);
      if (block !== undefined) blocks.push(block);
    }
  });
  return blocks;
}

function blockOf({ mass, feed, fed, pitch }: TankTrack, from: number, to: number, stretch: number, leastShare: number): MassBlock | undefined {
  let n = 0;
  let massSum = 0;
  let fedSum = 0;
  let pitchSum = 0;
  let squareSum = 0;
  let crossSum = 0;
  for (let k = Math.max(0, from); k < Math.min(mass.length, to); k++) {
    const reading = mass[k] as number;
    const slope = pitch === undefined ? 0 : pitch[k] as number;
    const turns = feed === undefined ? 0 : feed[k] as number;
    if (!Number.isFinite(reading + slope + turns)) continue;
    n++;
    massSum += reading;
    fedSum += fed === undefined ? 0 : ((fed[k] as number) + (fed[k + 1] as number)) / 2;
    pitchSum += slope;
    squareSum += slope * slope;
    crossSum += reading * slope;
  }
  if (n < leastShare * (to - from) || n === 0) return undefined;
  return { start: from, end: to, stretch, mass: massSum / n, fed: fedSum / n, pitch: pitchSum / n, pitchSquared: squareSum / n, massPitch: crossSum / n };
}

/** The reading falls in step with the turns inside every stretch; each stretch starts where it likes. */
export function massLine(blocks: readonly MassBlock[]): MassLine | undefined {
  return massFit(blocks, (block, origin) => [block.fed - origin.fed]);
}

/**
 * A line with unknowns of its own choice: `feed` gives what multiplies them, from a block and the first of its stretch; the first
 * unknown is kg per turn.
 */
export function massFit(blocks: readonly MassBlock[], feed: (block: MassBlock, origin: MassBlock) => readonly number[]): MassLine | undefined {
  const useful = nearFeeding(blocks);
  const stretches = [...new Set(useful.map(({ stretch }) => stretch))];
  const first = new Map(stretches.map((stretch) => [stretch, useful.find((block) => block.stretch === stretch)]));
  const turns = stretches.reduce((sum, stretch) => sum + feedIn(useful.filter((block) => block.stretch === stretch)), 0);
  if (!(turns > 0)) return undefined;
  const usePitch = pitchVaries(useful);
  const rows = useful.map((block): FitRow => {
    const origin = first.get(block.stretch) ?? block;
    return {
      /* The last 1 − cos term has a known coefficient, −½ (the cells feel the normal component); the others are the cart's own. */
      x: [...feed(block, origin), ...stretches.map((stretch) => (stretch === block.stretch ? 1 : 0)), ...(usePitch ? [block.pitch, block.pitchSquared, block.massPitch / 1000] : [])],
      y: block.mass * (usePitch ? 1 + block.pitchSquared / 2 : 1),
      position: (block.start + block.end) / 2 / Math.max(1, origin.end - origin.start),
      group: block.stretch,
    };
  });
  const step = useful.reduce((sum, { start, end }) => sum + end - start, 0) / useful.length;
  const fit = fitCorrelated(rows, blockCorrelation(step));
  if (fit === undefined) return undefined;
  return {
    perTurn: -(fit.coefficient[0] as number),
    uncertainty: fit.standardError[0] as number,
    degreesOfFreedom: fit.degreesOfFreedom,
    turns,
    scatter: fit.sigma,
    blocks: useful,
    fit,
  };
}

/** Correlation of neighbouring block means of a wander that forgets itself in `FORGETS` s, a little bounce added. */
function blockCorrelation(seconds: number): number {
  const x = seconds / FORGETS;
  const variance = (2 / x) * (1 - (1 - Math.exp(-x)) / x);
  const shared = ((1 - Math.exp(-x)) / x) ** 2;
  return (0.9 * shared) / variance;
}

function feedIn(blocks: readonly MassBlock[]): number {
  const fed = blocks.map((block) => block.fed);
  return Math.max(...fed) - Math.min(...fed);
}

/** Hours of standing still tell nothing about kg per turn, and the scale's temperature drift would be read into it. */
function nearFeeding(blocks: readonly MassBlock[]): readonly MassBlock[] {
  return blocks.filter((block, index) => {
    const moved = (other: MassBlock | undefined): boolean => other !== undefined && other.stretch === block.stretch && other.fed !== block.fed;
    return moved(blocks[index - 1]) || moved(blocks[index + 1]);
  });
}

/** Pitch can only explain readings when it changes: by 0.3° (0.005 rad) or more, and with blocks enough for three more unknowns. */
function pitchVaries(blocks: readonly MassBlock[]): boolean {
  if (blocks.length < 20) return false;
  const mean = blocks.reduce((sum, { pitch }) => sum + pitch, 0) / blocks.length;
  const spread = Math.sqrt(blocks.reduce((sum, { pitch }) => sum + (pitch - mean) ** 2, 0) / blocks.length);
  return spread > 0.005;
}
