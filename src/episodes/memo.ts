/** The function's answer, computed at the first call. */
export function once<T>(compute: () => T): () => T {
  let answer: { readonly value: T } | undefined;
  return () => (answer ??= { value: compute() }).value;
}

/** The function's answer per key, computed at the first call with that key. */
export function oncePerKey<T>(compute: (key: string) => T): (key: string) => T {
  const answers = new Map<string, T>();
  return (key) => {
    const known = answers.get(key);
    if (known !== undefined || answers.has(key)) return known as T;
    const answer = compute(key);
    answers.set(key, answer);
    return answer;
  };
}
