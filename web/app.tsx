import { effect } from '@preact/signals';
import { useEffect, useRef } from 'preact/hooks';
import type { DayView } from '../shared/api.ts';
import { followDay } from './follow-day.ts';
import { DayPanel } from './panels/day/day-panel.tsx';
import { FindingsPanel } from './panels/findings/findings-panel.tsx';
import { shownDate } from './panels/frame/names.ts';
import { NoDay } from './panels/frame/no-day.tsx';
import { Notice } from './panels/frame/notice.tsx';
import { READING_LABELS, Top } from './panels/frame/top.tsx';
import { Waiting } from './panels/frame/waiting.tsx';
import { HelpSheet } from './panels/help/help-sheet.tsx';
import { isHeldOver, takeFilesAnywhere } from './panels/intake/drop-anywhere.ts';
import { Intake } from './panels/intake/intake.tsx';
import { LogsPanel } from './panels/intake/logs-panel.tsx';
import { Tray } from './panels/intake/tray.tsx';
import { RatesPanel } from './panels/rates/rates-panel.tsx';
import { SetupPanel } from './panels/setup/setup-panel.tsx';
import { dayId, dayState, panel, trouble, view } from './state.ts';

/** The whole page: the frame, and in it the intake, the wait, the trouble or one reading of the day. */
export function App() {
  const main = useRef<HTMLElement>(null);
  useEffect(followDay, []);
  useEffect(takeFilesAnywhere, []);
  /* after the address line, for a title belongs to the entry it is written beside */
  useEffect(() => effect(() => {
    const words = titleWords();
    queueMicrotask(() => { document.title = words; });
  }), []);
  useFocusOnReading(main);
  const day = dayId.value;
  return (
    <div class="frame">
      <a class="skip" href="#main" onClick={(event) => {
        event.preventDefault();
        main.current?.focus();
      }}>Skip to the content</a>
      <Top />
      <Notice />
      <main ref={main} tabIndex={-1}>
        {day !== undefined && view.value !== undefined && <Tray day={day} />}
        <Content />
      </main>
      <HelpSheet />
      {isHeldOver.value && <div class="held-over" aria-hidden="true"><p>Let go to add these files</p></div>}
    </div>
  );
}

function Content() {
  const state = dayState.value;
  const day = dayId.value;
  if (day === undefined) return panel.value === 'setup' ? <SetupPanel /> : <Intake />;
  const failure = trouble.value ?? (state?.status === 'failed' ? state.error : undefined);
  if (failure !== undefined) return <NoDay reply={failure} />;
  return view.value === undefined ? <Waiting /> : <Reading view={view.value} />;
}

function Reading({ view }: { readonly view: DayView }) {
  switch (panel.value) {
    case 'fix': return <FindingsPanel view={view} />;
    case 'day': return <DayPanel view={view} />;
    case 'rates': return <RatesPanel view={view} />;
    case 'setup': return <SetupPanel view={view} />;
    case 'logs': return <LogsPanel view={view} />;
  }
}

/** Another reading starts at its top, for eyes and for screen readers; the first one leaves the focus alone. */
function useFocusOnReading(main: { readonly current: HTMLElement | null }): void {
  const [reading, day] = [panel.value, dayId.value];
  const seen = useRef(`${day} ${reading}`);
  useEffect(() => {
    const now = `${day} ${reading}`;
    if (seen.current === now) return;
    seen.current = now;
    scrollTo(0, 0);
    main.current?.focus({ preventScroll: true });
  }, [reading, day]);
}

function titleWords(): string {
  const [reading, day] = [panel.value, dayId.value];
  const state = dayState.value;
  if (day === undefined) return 'Which day? · Sowtrace';
  if (trouble.value !== undefined || state?.status === 'failed') return 'The day cannot be shown · Sowtrace';
  if (state?.status !== 'ready') return 'Reading the logs… · Sowtrace';
  return `${READING_LABELS[reading]} · ${shownDate(state.view.start, state.view.zone)} · Sowtrace`;
}
