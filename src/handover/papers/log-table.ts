import { formatNumber } from '../../../shared/text.ts';
import { html, type Markup } from './markup.ts';
import { shortName, type PaperSource } from './paper.ts';

/** The logs a paper was made from, told by their whole hash: whoever holds the same file can prove that it is the same. */
export function logTable({ analysis }: PaperSource): Markup {
  return html`<section class="logs keep">
<h2>The logs behind this paper</h2>
<div class="wide" tabindex="0"><table>
<thead><tr><th scope="col">log</th><th scope="col">SHA-256 of its bytes after decompression: the same bytes give the same anywhere</th></tr></thead>
<tbody>${analysis.day.logs.map((log) => html`<tr><th scope="row"><bdi>${shortName(log.file)}</bdi> <span class="quiet">${log.format}, ${formatNumber(log.records, 0)} records, ${formatNumber(log.badRecords, 0)} unreadable</span></th><td class="hash">${log.sha256}</td></tr>`)}</tbody>
</table></div>
</section>`;
}
