import type { DayView } from '../../../shared/api.ts';
import { ServerError, api } from '../../api.ts';
import { dayState } from '../../state.ts';

/** Takes a sensor out of the judging or back in, through the day's setup; resolves with what changed, in words. */
export async function setAside(view: DayView, stem: string, isAside: boolean): Promise<string> {
  try {
    const judged = await api.judge(view.id, withSetAside(view.setup, stem, isAside));
    dayState.value = { status: 'ready', view: judged };
    const name = stem.replace('.', ' ');
    return `Judged again ${isAside ? 'without' : 'with'} ${name}: ${countOf(judged)}, ${countOf(view)} before.`;
  } catch (error) {
    if (error instanceof ServerError) return `Not changed. ${error.reply.message} ${error.reply.whatToDo}`;
    throw error;
  }
}

const countOf = ({ findings }: DayView): string => (findings.length === 0 ? 'no finding' : findings.length === 1 ? '1 finding' : `${findings.length} findings`);

/** The setup's text with `machine.setAside` changed and nothing else. */
export function withSetAside(setup: string | undefined, stem: string, isAside: boolean): string {
  const value = (setup === undefined || setup.trim() === '' ? {} : JSON.parse(setup)) as { machine?: { setAside?: readonly string[] } };
  const others = (value.machine?.setAside ?? []).filter((each) => each !== stem);
  return JSON.stringify({ ...value, machine: { ...value.machine, setAside: isAside ? [...others, stem] : others } }, undefined, 2);
}
