import { html, type Markup } from './markup.ts';
import { dateOf, machineOf, shortHash, shortName, type PaperSource } from './paper.ts';
import { logTable } from './log-table.ts';
import { SHEET_STYLE } from './sheet-style.ts';

/**
 * A whole paper: one file that asks nothing of any other place and runs no script, which its own policy also forbids.
 * Head, the given parts, and at the end what it was made from.
 */
export function sheet(source: PaperSource, title: string, reader: string, parts: readonly Markup[]): string {
  const { reading } = source;
  const date = dateOf(source);
  const page = html`<html lang="en">
<head>
<meta charset="utf-8"/>
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'"/>
<meta name="viewport" content="width=device-width, initial-scale=1"/>
<title>${title}, ${machineOf(source)}, ${date}</title>
<style>${{ markup: SHEET_STYLE }}</style>
</head>
<body>
<header>
<p class="kind">${title} <span class="quiet">${reader}</span></p>
<dl class="about">
<div><dt>Machine</dt><dd><bdi>${machineOf(source)}</bdi></dd></div>
<div><dt>Day</dt><dd>${date}, times in ${reading.zone}</dd></div>
<div class="all"><dt>Made from</dt><dd>${source.analysis.day.logs.map((log, k) => html`${k > 0 ? '; ' : ''}<bdi>${shortName(log.file)}</bdi> <span class="hash">${shortHash(log.sha256)}…</span>`)}, by Sowtrace ${source.version}</dd></div>
</dl>
</header>
<main>
${parts}
${logTable(source)}
</main>
</body>
</html>
`;
  return `<!DOCTYPE html>\n${page.markup}`;
}
