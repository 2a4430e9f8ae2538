import { isInstant, type TableEvidence } from '../../../shared/evidence.ts';
import { subjectWords } from '../../../shared/measure-words.ts';
import { formatClock, formatNumber, renderText, shownUnit } from '../../../shared/text.ts';
import { reading } from '../../state.ts';

/** Figures that are best read as figures; in the reader's units where a column has one. */
export function EvidenceTable({ evidence }: { readonly evidence: TableEvidence }) {
  const { units } = reading.value;
  const columns = evidence.columns.map((column) => ({ ...column, isClock: isInstant(column), shown: shownUnit(isInstant(column) ? '' : column.unit ?? '', units) }));
  const isNumber = (column: number): boolean => evidence.rows.some((row) => typeof row[column] === 'number');
  return (
    <div class="scroll" tabIndex={0} role="group" aria-label={renderText(evidence.title, reading.value)}>
      <table>
        <thead><tr>{columns.map(({ label, shown }, index) => <th key={label} scope="col" class={isNumber(index) ? 'number' : ''}>{label}{shown.label === '' ? '' : `, ${shown.label}`}</th>)}</tr></thead>
        <tbody>
          {evidence.rows.map((row, index) => (
            <tr key={index}>
              {row.map((cell, column) => {
                const head = columns[column];
                const number = (value: number): string => (head?.isClock === true ? formatClock(value, reading.value) : formatNumber(head?.shown.convert(value) ?? value, head?.digits ?? 2));
                const text = cell === null ? '–' : typeof cell === 'number' ? number(cell) : wordsOf(renderText(cell, reading.value));
                return column === 0 ? <th key={column} scope="row">{text}</th> : <td key={column} class={isNumber(column) ? 'number' : ''}>{text}</td>;
              })}
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}

/** `run.47` is what the log calls it; whoever stands at the drill says run 47. */
const wordsOf = (cell: string): string => (/^(?:run|tower|tank|fan|meter|section)\.\w+$/.test(cell) ? subjectWords(cell).replace(' ', '\u00a0') : cell);
