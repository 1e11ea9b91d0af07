/**
 * How the pure rooms say that something a user, a file or a peer gave them is wrong: a `Result` with
 * every fault found, never an exception. Exceptions are for programmer mistakes only.
 */

/** What is wrong, where it stands, and what mends it. `code` is stable; the prose is not. */
export interface Fault {
  readonly code: string;
  readonly what: string;
  readonly where: string;
  readonly mend: string;
}

export type Result<T> =
  | { readonly ok: true; readonly value: T }
  | { readonly ok: false; readonly faults: readonly Fault[] };

export const success = <T>(value: T): Result<T> => ({ ok: true, value });

export const failure = (...faults: readonly Fault[]): { readonly ok: false; readonly faults: readonly Fault[] } => ({
  ok: false,
  faults,
});

export const fault = (code: string, what: string, where: string, mend: string): Fault => ({
  code,
  what,
  where,
  mend,
});

/** The one way a fault is written out: "Aperture is f/0 (lights[2].aperture). Write a value such as f/8." */
export const formatFault = (f: Fault): string => `${f.what} (${f.where}). ${f.mend}`;

/** The value, or an exception that lists every fault: for callers that already know the input is good. */
export function expectOk<T>(result: Result<T>): T {
  if (result.ok) return result.value;
  throw new RangeError(result.faults.map(formatFault).join("\n"));
}
