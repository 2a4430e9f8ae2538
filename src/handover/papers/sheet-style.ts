/*
 * Light on any screen; A4 and Letter alike: the paper's size is left to the printer. Colours are told apart by colour-blind
 * readers and in grey; nothing is said by colour alone. Well-formed inside XML: no ampersand, no less-than sign.
 */
export const SHEET_STYLE = `
:root { color-scheme: light; --ink: #1a1f28; --quiet: #545b68; --rule: #cfccc4; --mark: #a8321a; }
* { box-sizing: border-box; }
html { background: #ffffff; }
body { margin: 0 auto; max-width: 190mm; padding: 16px; color: var(--ink); background: #ffffff; font: 15px/1.45 'Liberation Sans', Arial, Helvetica, 'DejaVu Sans', sans-serif; overflow-wrap: break-word; }
bdi, td, tbody th, h1, h2, dd, .keys, .notes { overflow-wrap: anywhere; }
h1, h2, h3, p, dl, dd, ol, ul, figure { margin: 0; padding: 0; }
h1 { font-size: 1.6rem; line-height: 1.2; margin: 10px 0 8px; }
h2 { font-size: 1.2rem; line-height: 1.25; margin: 26px 0 8px; padding-top: 8px; border-top: 2px solid var(--ink); }
h3 { font-size: 1rem; line-height: 1.3; margin: 16px 0 4px; }
p + p { margin-top: 6px; }
header { border-bottom: 1px solid var(--rule); padding-bottom: 8px; }
.kind { font-weight: 700; font-size: 1.05rem; }
.quiet, .small { color: var(--quiet); font-weight: 400; }
.small { font-size: 0.85rem; margin-top: 6px; }
.about { display: grid; grid-template-columns: 1fr 1fr; gap: 2px 18px; font-size: 0.88rem; margin-top: 4px; }
.about > div { display: flex; gap: 6px; min-width: 0; }
.about dt { color: var(--quiet); flex: none; }
.about dd { min-width: 0; }
.about .all { grid-column: 1 / -1; }
.row-name { width: 27%; }
.seen { width: 24%; }
.logs { font-size: 0.8rem; margin-top: 16px; }
.logs h2 { font-size: 1em; margin: 12px 0 2px; padding-top: 6px; border-top-width: 1px; }
.logs table { font-size: 1em; margin: 0; }
.logs .hash { width: 62%; }
.amounts { display: block; color: var(--quiet); font-weight: 400; }
.hash { font-family: 'Liberation Mono', 'DejaVu Sans Mono', monospace; font-size: 0.86em; overflow-wrap: anywhere; }
.facts { display: grid; grid-template-columns: minmax(86px, 130px) minmax(0, 1fr); gap: 5px 14px; margin: 10px 0; }
.facts dt { color: var(--quiet); }
.facts .small { margin-top: 0; }
.facts dd strong { font-size: 1.05em; }
.lead { font-size: 1.1rem; }
.box { border: 1.5px solid var(--ink); border-radius: 4px; padding: 8px 12px; margin: 12px 0; }
.box > p:first-child { font-weight: 700; }
.cautions { border-left: 6px solid var(--mark); padding: 6px 0 6px 12px; margin: 14px 0; }
.cautions li { margin-top: 4px; padding-left: 18px; text-indent: -18px; }
.cautions .title { font-weight: 700; }
.cautions .many { columns: 2; column-gap: 24px; font-size: 0.84em; }
table { width: 100%; border-collapse: collapse; margin: 6px 0 10px; font-size: 0.9rem; }
caption { text-align: left; font-weight: 700; padding: 4px 0; }
th, td { text-align: left; vertical-align: top; padding: 3px 8px 3px 0; border-bottom: 1px solid var(--rule); font-weight: 400; }
thead th { color: var(--quiet); border-bottom: 1.5px solid var(--ink); }
tbody th { font-weight: 600; }
td:last-child, th:last-child { padding-right: 0; }
.number { text-align: right; white-space: nowrap; font-variant-numeric: tabular-nums; }
.wraps { white-space: normal; }
.strong { font-weight: 700; }
.bullets { padding-left: 20px; }
.bullets li { margin-top: 3px; }
figure { margin: 10px 0 14px; }
figcaption { font-weight: 600; margin-bottom: 2px; }
svg { display: block; width: 100%; height: auto; }
svg text { font-family: 'Liberation Sans', Arial, Helvetica, 'DejaVu Sans', sans-serif; font-size: 11.5px; fill: var(--ink); }
.keys { list-style: none; display: flex; flex-wrap: wrap; gap: 2px 16px; font-size: 0.85rem; color: var(--quiet); }
.keys li { display: flex; align-items: center; gap: 6px; }
.keys svg { width: 26px; height: 12px; flex: none; }
.notes { white-space: pre-wrap; }
.tasks { list-style: none; }
.plain { list-style: none; }
.further li { margin-top: 3px; font-size: 0.92em; }
.tasks > li { display: grid; grid-template-columns: 34px minmax(0, 1fr); gap: 0 8px; padding: 9px 0; border-bottom: 1px solid var(--rule); }
.tasks .count { font-size: 1.5rem; font-weight: 700; line-height: 1.1; }
.tasks .do { font-size: 1.08rem; }
.tasks .how { color: var(--quiet); font-size: 0.9rem; margin-top: 3px; }
.tick { display: inline-block; width: 13px; height: 13px; border: 1.5px solid var(--ink); border-radius: 2px; vertical-align: -2px; margin-right: 4px; }
@media screen and (max-width: 640px) {
  .about { grid-template-columns: minmax(0, 1fr); }
  .cautions .many { columns: 1; }
  .facts { grid-template-columns: minmax(0, 1fr); gap: 0; }
  .facts dd { margin-bottom: 6px; }
  .picture, .wide { overflow-x: auto; }
  .picture > svg { min-width: 560px; }
  td, tbody th { overflow-wrap: break-word; }
}
@page { margin: 15mm 15mm 17mm; @bottom-right { content: counter(page) ' of ' counter(pages); font: 8.5pt 'Liberation Sans', Arial, sans-serif; color: #545b68; } }
@media print {
  html { font-size: 10.5pt; }
  body { padding: 0; max-width: none; font-size: 10pt; line-height: 1.38; print-color-adjust: exact; -webkit-print-color-adjust: exact; }
  h1 { font-size: 15.5pt; }
  .facts { gap: 3px 12px; margin: 6px 0; }
  .box, .cautions { margin: 8px 0; }
  h2 { font-size: 12.5pt; margin-top: 13pt; }
  .tasks > li { padding: 5px 0; }
  .hash { font-size: 7.5pt; }
  h3 { font-size: 10.5pt; }
  h1, h2, h3, caption, figcaption, .before { break-after: avoid; }
  tr, figure, .keep, .keep > .wide, .box, .tasks > li, .facts > dd, .cautions li { break-inside: avoid; }
  .with-table { break-before: avoid; }
  thead { display: table-header-group; }
  p, li { orphans: 3; widows: 3; }
  tbody > tr:nth-child(-n+2), tbody > tr:nth-last-child(2) { break-after: avoid; }
  svg text { font-size: 11px; }
}
`;
