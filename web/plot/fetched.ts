import { useEffect, useState } from 'preact/hooks';

export type Fetched<T> = { readonly status: 'asking' } | { readonly status: 'failed' } | { readonly status: 'ready'; readonly value: T };

/** What the server answers, asked again when an input changes; the former answer stays until the new one is there. */
export function useFetched<T>(ask: () => Promise<T>, inputs: readonly unknown[]): Fetched<T> {
  const [answer, setAnswer] = useState<Fetched<T>>({ status: 'asking' });
  useEffect(() => {
    let isCurrent = true;
    const fetchIt = async (): Promise<void> => {
      try {
        const value = await ask();
        if (isCurrent) setAnswer({ status: 'ready', value });
      } catch {
        if (isCurrent) setAnswer({ status: 'failed' });
      }
    };
    void fetchIt();
    return () => { isCurrent = false; };
  }, [...inputs]);
  return answer;
}
