/**
 * Letting devices in, over HTTP: the switch, the code, the list; and who this page is to the server. Asked of the
 * server each time, never kept: without it there is nothing to switch.
 */

import { useSyncExternalStore } from "react";
import type { Device, Permission } from "../../store/types.ts";
import type { Fault, Result } from "../../units/index.ts";
import { ask } from "./book.ts";
import { setPreferences } from "./preferences.ts";

export type { Device, Permission };

export interface NetworkState {
  readonly on: "secure" | "plain" | null;
  readonly name: string | null;
  readonly port: number;
  /** By name first, then by address. */
  readonly origins: readonly string[];
  readonly fingerprint: string | null;
  readonly faults: readonly Fault[];
  readonly code: { readonly words: string; readonly permission: Permission; readonly until: string } | null;
}

export interface Code {
  readonly words: string;
  readonly permission: Permission;
  readonly until: string;
  /** One for each origin; `qr` has a string a row, "1" dark. */
  readonly links: readonly { readonly url: string; readonly qr: readonly string[] }[];
}

export const networkState = (): Promise<Result<NetworkState>> => ask("GET", "/api/network");

export const switchNetwork = (on: "secure" | "plain" | null): Promise<Result<NetworkState>> =>
  ask("POST", "/api/network", { on });

export const makeCode = (permission: Permission): Promise<Result<Code>> =>
  ask("POST", "/api/network/code", { permission });

export const withdrawCode = (): Promise<Result<unknown>> => ask("DELETE", "/api/network/code");

export const listDevices = (): Promise<Result<{ readonly devices: readonly Device[] }>> => ask("GET", "/api/devices");

export const changeDevice = (
  id: string,
  change: { readonly name?: string; readonly permission?: Permission },
): Promise<Result<Device>> => ask("PATCH", `/api/devices/${encodeURIComponent(id)}`, change);

export const putOutDevice = (id: string): Promise<Result<unknown>> =>
  ask("DELETE", `/api/devices/${encodeURIComponent(id)}`);

/** Who this page is: at the computer itself, a device that was let in, or nobody any more. */
export type Session =
  | { readonly kind: "here"; readonly plain: false }
  | { readonly kind: "device"; readonly plain: boolean; readonly device: Device }
  | { readonly kind: "stranger"; readonly plain: boolean };

let session: Session | null = null;
let asked = false;
const listeners = new Set<() => void>();

/** Null until the server has said, and while it is away. */
export function useSession(): Session | null {
  return useSyncExternalStore(watchSession, () => session);
}

function watchSession(listener: () => void): () => void {
  listeners.add(listener);
  if (!asked) {
    asked = true;
    void askSession();
    // A device may be put out, renamed or given another permission while its page is open.
    setInterval(() => void askSession(), ASK_EVERY_MS);
    addEventListener("online", () => void askSession());
  }
  return () => listeners.delete(listener);
}

const ASK_EVERY_MS = 20_000;

async function askSession(): Promise<void> {
  if (document.visibilityState === "hidden") return;
  const answer = await ask<Session>("GET", "/api/session");
  if (!answer.ok || JSON.stringify(answer.value) === JSON.stringify(session)) return;
  session = answer.value;
  // Readings carry the name that the device was let in under.
  if (session.kind === "device") setPreferences({ device: session.device.name });
  for (const listener of listeners) listener();
}
