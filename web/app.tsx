import { useEffect } from 'preact/hooks';
import { followDay } from './follow-day.ts';
import { DayPanel } from './panels/day/day-panel.tsx';
import { FindingsPanel } from './panels/findings/findings-panel.tsx';
import { Top } from './panels/frame/top.tsx';
import { Waiting } from './panels/frame/waiting.tsx';
import { Intake } from './panels/intake/intake.tsx';
import { RatesPanel } from './panels/rates/rates-panel.tsx';
import { address, dayState, trouble, view } from './state.ts';
import { Trouble } from './panels/frame/trouble.tsx';

/** The whole page: the frame, and in it the intake, the wait, the trouble or one reading of the day. */
export function App() {
  useEffect(followDay, []);
  const state = dayState.value;
  const failure = trouble.value ?? (state?.status === 'failed' ? state.error : undefined);
  return (
    <div class="frame">
      <Top />
      <main>
        {failure !== undefined && <Trouble reply={failure} />}
        {address.value.day === undefined || failure !== undefined ? <Intake />
          : view.value === undefined ? <Waiting />
          : address.value.reading === 'day' ? <DayPanel view={view.value} />
          : address.value.reading === 'rates' ? <RatesPanel view={view.value} />
          : <FindingsPanel view={view.value} />}
      </main>
    </div>
  );
}
