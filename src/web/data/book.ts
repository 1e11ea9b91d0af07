/**
 * The book over HTTP: what the server keeps, as cards. Answers are cached by the service worker, so that the
 * list is there without the server. Every failure is a fault in words.
 */

import type { Setup } from "../../setup/index.ts";
import type { Fault, Result } from "../../units/index.ts";
import { failure, fault, success } from "../../units/index.ts";

export interface BookInfo {
  readonly id: string;
  readonly generation: number;
}

export const bookInfo = (): Promise<Result<BookInfo>> => ask("GET", "/api/book");

export const createSetup = (setup: Setup): Promise<Result<{ readonly id: string }>> =>
  ask("POST", "/api/setups", setup);

export const removeSetup = (id: string): Promise<Result<unknown>> =>
  ask("DELETE", `/api/setups/${encodeURIComponent(id)}`);

export const restoreSetup = (id: string): Promise<Result<unknown>> =>
  ask("POST", `/api/setups/${encodeURIComponent(id)}/restore`, {});

export const importBook = (json: unknown): Promise<Result<{ readonly setups: number }>> =>
  ask("POST", "/api/import", json);

/** One request to our own server; a Result in place of exceptions. */
export const ask = <T>(method: string, path: string, body?: unknown): Promise<Result<T>> =>
  request(method, path, body === undefined ? null : JSON.stringify(body), "application/json");

/** The same with a file as the body. */
export const askBytes = <T>(method: string, path: string, body: Blob): Promise<Result<T>> =>
  request(method, path, body, "application/octet-stream");

async function request<T>(method: string, path: string, body: Blob | string | null, type: string): Promise<Result<T>> {
  try {
    const headers: Record<string, string> = body === null ? {} : { "content-type": type };
    const response = await fetch(path, { method, headers, body });
    const answer: unknown = response.status === 204 ? {} : await response.json();
    if (response.ok) return success(answer as T);
    return failure(...faultsOf(answer, path));
  } catch {
    return failure(
      fault(
        "no-server",
        "The Stopwise server on this machine does not answer",
        path,
        "Start it again with npm start; what you changed is kept in this browser meanwhile.",
      ),
    );
  }
}

function faultsOf(answer: unknown, path: string): readonly Fault[] {
  const faults = (answer as { faults?: readonly Fault[] } | null)?.faults;
  if (Array.isArray(faults) && faults.length > 0) return faults;
  return [fault("server-error", "The server could not do it", path, "Try again; if it stays, restart npm start.")];
}
