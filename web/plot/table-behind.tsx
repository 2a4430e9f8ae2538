import { useState } from 'preact/hooks';
import type { ComponentChildren } from 'preact';

export interface TableColumn {
  readonly label: string;
  readonly isNumber?: boolean;
}

export interface TableProps {
  /** What the reader opens, e.g. `The numbers`. */
  readonly summary: ComponentChildren;
  readonly columns: readonly TableColumn[];
  /** Made when the table is opened; the first cell names its row. */
  readonly rows: () => readonly (readonly ComponentChildren[])[];
}

const PAGE = 25;

/** The table behind a picture, made when opened, 25 rows at a time. */
export function TableBehind({ summary, columns, rows }: TableProps) {
  const [isOpen, setOpen] = useState(false);
  return (
    <details class="behind" data-own-pointer onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary>{summary}</summary>
      {isOpen && <Pages columns={columns} rows={rows()} />}
    </details>
  );
}

export function Pages({ columns, rows }: { readonly columns: readonly TableColumn[]; readonly rows: readonly (readonly ComponentChildren[])[] }) {
  const [page, setPage] = useState(0);
  const pages = Math.max(1, Math.ceil(rows.length / PAGE));
  const shown = Math.min(page, pages - 1);
  return (
    <>
      <div class="scroll" tabIndex={0} role="group" aria-label="Table, scrolls sideways">
        <table>
          <thead><tr>{columns.map((column) => <th key={column.label} scope="col" class={column.isNumber === true ? 'number' : ''}>{column.label}</th>)}</tr></thead>
          <tbody>
            {rows.slice(shown * PAGE, (shown + 1) * PAGE).map((row, r) => (
              <tr key={r}>
                {row.map((cell, c) => (c === 0 ? <th key={c} scope="row">{cell}</th> : <td key={c} class={columns[c]?.isNumber === true ? 'number' : ''}>{cell}</td>))}
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      {pages > 1 && (
        <div class="row pages">
          <button type="button" disabled={shown === 0} onClick={() => setPage(shown - 1)}>Rows before</button>
          <span class="quiet">{shown * PAGE + 1} to {Math.min(rows.length, (shown + 1) * PAGE)} of {rows.length}</span>
          <button type="button" disabled={shown === pages - 1} onClick={() => setPage(shown + 1)}>Rows after</button>
        </div>
      )}
    </>
  );
}
