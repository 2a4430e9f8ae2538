import type { MapEvidence } from '../../../shared/evidence.ts';
import type { Place } from '../../../shared/finding.ts';
import type { Span } from '../../../shared/span.ts';
import { quantity } from '../../../shared/text.ts';
import { createGround } from '../../episodes/ground.ts';
import { outlinesOf, ringInDegrees } from '../../field/outline.ts';
import { swathsOf } from '../../field/swath.ts';
import { intersectSpans } from '../../series/spans.ts';
import type { TankFlowContext } from './tank-flow-case.ts';

/** The ground the drill passed over in a span with its sections on, for map and GeoJSON; nothing without positions or width. */
export function barePlaces(span: Span, text: (slots: { readonly from: string; readonly to: string }) => string, { channel, channels, setup, timeline, episodes }: TankFlowContext): { readonly places: readonly Place[]; readonly maps: readonly MapEvidence[] } {
  const [latitude, longitude] = [channel('gnss.lat'), channel('gnss.lon')];
  if (latitude === undefined || longitude === undefined) return { places: [], maps: [] };
  const ground = createGround({ latitude, longitude, sections: channels('section.*.on'), setup, timeline, episodes });
  const strips = ground.strips.map((strip) => ({ ...strip, on: intersectSpans(strip.on, [span]) }));
  const outlines = outlinesOf(swathsOf(ground.openers, strips));
  if (outlines.length === 0) return { places: [], maps: [] };
  const { plane } = ground.track;
  const label = text({ from: quantity.clock(span.start), to: quantity.clock(span.end) });
  return {
    places: outlines.map(({ outer }): Place => ({ kind: 'area', coordinates: ringInDegrees(outer, plane), text: label })),
    maps: [{ kind: 'map', title: 'Where nothing came', origin: plane.origin, lines: [], areas: outlines.map(({ outer }) => ({ label, role: 'subject', points: outer })) }],
  };
}
