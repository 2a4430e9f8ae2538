import { useEffect, useState } from 'preact/hooks';
import type { ColumnsReply } from '../../../shared/glance.ts';
import { desk } from '../../desk-api.ts';
import { refreshDay } from '../../follow-day.ts';
import { dayState, notice } from '../../state.ts';
import { MappingPanel } from './mapping-panel.tsx';

/** The headings of a day's CSV logs that were not understood, given their meaning in place; shows nothing when there are none. */
export function LogColumns({ day, revision }: { readonly day: string; readonly revision?: unknown }) {
  const [columns, setColumns] = useState<ColumnsReply>();
  const [failure, setFailure] = useState('');
  useEffect(() => {
    void desk.columns(day).then(setColumns, () => undefined);
  }, [day, revision]);
  if (columns === undefined || !columns.logs.some((log) => log.columns.some((column) => !column.isTime && column.channel === undefined))) return null;
  const apply = async (text: string): Promise<void> => {
    try {
      await desk.readWithColumns(day, text);
      notice.value = 'Reading the logs again with these meanings.';
      dayState.value = undefined;
      refreshDay();
    } catch (error) {
      setFailure(error instanceof Error ? error.message : String(error));
    }
  };
  return (
    <section class="sheet">
      <h3>Headings that were not understood</h3>
      <p>These columns stayed out of the day. Say what they are, and the logs are read again with them.</p>
      {failure !== '' && <p class="field-problem" role="alert">{failure}</p>}
      <MappingPanel logs={columns.logs} before={columns.columnsFile} applyLabel="Read the logs again with these meanings" onApply={(text) => void apply(text)} />
    </section>
  );
}
