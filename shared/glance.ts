/** What the first bytes of a file tell before the day is read; the viewer lists files and maps headings with it. */
export interface LogGlance {
  /** The format that was recognised. */
  readonly format?: { readonly id: string; readonly title: string };
  /** Why nothing was recognised: what is wrong and what to do. */
  readonly problem?: { readonly message: string; readonly whatToDo: string };
  /** The columns of a CSV, in file order. */
  readonly columns?: readonly ColumnGlance[];
}

export interface ColumnGlance {
  readonly heading: string;
  /** The first few cells as they stand in the file. */
  readonly cells: readonly string[];
  /** The first cells as numbers, in the unit of the file; null = empty or no number. */
  readonly numbers: readonly (number | null)[];
  readonly isTime: boolean;
  /** Channel and unit name that the heading (or columns.json) already gives. */
  readonly channel?: string;
  /** Channels that may be meant, most likely first. */
  readonly suggestions: readonly string[];
  /** Unit written in the heading. */
  readonly unit?: string;
  /** End of a sentence about the heading: why its unit does not fit. */
  readonly problem?: string;
}

/** `GET /api/days/:id/columns` */
export interface ColumnsReply {
  /** columns.json of the day as text, when it has one. */
  readonly columnsFile?: string;
  readonly logs: readonly { readonly file: string; readonly columns: readonly ColumnGlance[] }[];
}
