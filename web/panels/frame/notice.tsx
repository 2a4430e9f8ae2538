import { useEffect } from 'preact/hooks';
import { isServerGone, notice } from '../../state.ts';

const SHOWN_MILLISECONDS = 8000;

/** What was just done, for a moment; and, as long as it lasts, that the server is gone. */
export function Notice() {
  const text = notice.value;
  useEffect(() => {
    if (text === '') return undefined;
    const timer = setTimeout(() => { notice.value = ''; }, SHOWN_MILLISECONDS);
    return () => clearTimeout(timer);
  }, [text]);
  return (
    <>
      <p class={text === '' ? 'unseen' : 'notice'} role="status">{text}</p>
      {isServerGone.value && <p class="gone" role="alert"><strong>Sowtrace stopped answering.</strong> What is on this page stays readable, but nothing new can be fetched or saved. Start it again with sowtrace view; then open the logs again.</p>}
    </>
  );
}
