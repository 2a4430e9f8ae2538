/** Mistakes a person can mend: one sentence with the numbers in it, and what to do next. Exit 2, HTTP 400/422. */
abstract class MendableError extends Error {
  abstract readonly kind: 'usage' | 'input' | 'setup';
  /** Short machine-readable reason, e.g. `unknown-option`. */
  readonly code: string;
  readonly whatToDo: string;

  constructor(code: string, message: string, whatToDo: string) {
    super(message);
    this.code = code;
    this.whatToDo = whatToDo;
  }
}

/** The program was asked wrongly. */
export class UsageError extends MendableError {
  readonly kind = 'usage';
}

/** A file cannot be used. */
export class InputError extends MendableError {
  readonly kind = 'input';
}

/** setup.json, signals.json or columns.json contradicts itself, the contract or the log. */
export class SetupError extends MendableError {
  readonly kind = 'setup';
}

export function isMendable(error: unknown): error is UsageError | InputError | SetupError {
  return error instanceof MendableError;
}
