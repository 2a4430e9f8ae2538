/** Asks one question at a time; of those that come meanwhile only the last is asked. Answers to failed questions are dropped. */
export function latestOnly<Q, A>(ask: (question: Q) => Promise<A>, take: (answer: A, question: Q) => void, fail: (error: unknown) => void = () => undefined): (question: Q) => void {
  let waiting: { readonly question: Q } | undefined;
  let isBusy = false;
  const next = async (): Promise<void> => {
    isBusy = true;
    while (waiting !== undefined) {
      const { question } = waiting;
      waiting = undefined;
      try {
        take(await ask(question), question);
      } catch (error) {
        fail(error);
      }
    }
    isBusy = false;
  };
  return (question) => {
    waiting = { question };
    if (!isBusy) void next();
  };
}
