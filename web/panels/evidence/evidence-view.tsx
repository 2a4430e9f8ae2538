import type { Evidence } from '../../../shared/evidence.ts';
import { renderText } from '../../../shared/text.ts';
import { reading } from '../../state.ts';
import { EvidenceTable } from './evidence-table.tsx';
import { HistogramPicture } from './histogram-picture.tsx';
import { MapPicture } from './map-picture.tsx';
import { RunsPicture } from './runs-picture.tsx';
import { TracePicture } from './trace-picture.tsx';
import { XyPicture } from './xy-picture.tsx';

/** One switch over the kinds of evidence; a new detector needs no new screen. */
export function EvidenceView({ evidence, day }: { readonly evidence: Evidence; readonly day: string }) {
  return (
    <section class="evidence">
      <h3>{renderText(evidence.title, reading.value)}</h3>
      <Picture evidence={evidence} day={day} />
    </section>
  );
}

function Picture({ evidence, day }: { readonly evidence: Evidence; readonly day: string }) {
  switch (evidence.kind) {
    case 'trace': return <TracePicture evidence={evidence} />;
    case 'xy': return <XyPicture evidence={evidence} />;
    case 'histogram': return <HistogramPicture evidence={evidence} />;
    case 'runs': return <RunsPicture evidence={evidence} />;
    case 'table': return <EvidenceTable evidence={evidence} />;
    case 'map': return <MapPicture evidence={evidence} day={day} />;
  }
}
