/** The one class of errors meant for people: what is wrong and what to do, in one line. */
export class PlicaError extends Error {
  constructor(
    /** Stable, for programs. */
    readonly code: 'bad-input' | 'too-large' | 'no-pattern' | 'exists' | 'no-access' | 'bad-option' | 'cancelled',
    message: string,
    /** What the person can do about it. */
    readonly hint: string,
  ) {
    super(`${message}: ${hint}`);
    this.name = 'PlicaError';
  }
}
