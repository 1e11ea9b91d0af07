/**
 * The devices that were let in, as the server meets them: the secret in their cookie, what they may do, and
 * who wants to know when one is put out. A list in memory mirrors the file, so that every message of a link can
 * ask what its device may do now.
 */

import { createHash, randomBytes } from "node:crypto";
import type { Device, DeviceStore, Permission } from "../../store/index.ts";
import { failure, fault, type Result, success } from "../../units/index.ts";

/** A device that stays away for this long must be let in anew. */
const idleDays = 30;
const dayMs = 86_400_000;
/** A visit is written down at most this often. */
const seenEveryMs = 60_000;
const mostDevices = 50;
const longestName = 60;

/** `__Host-`: the browser takes it only from HTTPS, for this host alone and for every path (RFC 6265bis, 4.1.3.2). */
const secureCookie = "__Host-stopwise";
/** Plain HTTP has a cookie of its own, so that neither kind of session can stand in for the other. */
const plainCookie = "stopwise-plain";
/** The longest that browsers keep a cookie (RFC 6265bis, 5.5): 400 days. */
const cookieSeconds = 400 * 86_400;

export class Devices {
  readonly #store: DeviceStore;
  readonly #now: () => Date;
  readonly #known: Map<string, Device>;
  readonly #onPutOut = new Set<(id: string) => void>();

  private constructor(store: DeviceStore, now: () => Date, known: readonly Device[]) {
    this.#store = store;
    this.#now = now;
    this.#known = new Map(known.map((device) => [device.id, device]));
  }

  static open(store: DeviceStore, now: () => Date): Result<Devices> {
    const known = store.all();
    return known.ok ? success(new Devices(store, now, known.value)) : known;
  }

  /** The last one let in first. */
  all(): readonly Device[] {
    return [...this.#known.values()].sort((a, b) => (a.createdAt < b.createdAt ? 1 : -1));
  }

  get(id: string): Device | null {
    return this.#known.get(id) ?? null;
  }

  /** Lets a device in: gives it, and the value of the Set-Cookie header that carries its secret. */
  admit(id: string, name: string, permission: Permission, plain: boolean): Result<{ device: Device; cookie: string }> {
    const named = readName(name);
    if (!named.ok) return named;
    if (this.#known.size >= mostDevices) {
      return failure(fault("too-many", `${mostDevices} devices are let in already`, "devices", "Put one out first."));
    }
    const at = this.#now().toISOString();
    const secret = randomBytes(32);
    const device: Device = { id, name: named.value, permission, plain, createdAt: at, seenAt: at };
    const added = this.#store.add(device, hash(secret));
    if (!added.ok) return added;
    this.#known.set(id, device);
    return success({ device, cookie: cookieOf(secret, plain) });
  }

  /** Whose secret the Cookie header carries; null when nobody's. `plain`: over plain HTTP. */
  recognise(header: string | undefined, plain: boolean): Device | null {
    const secret = secretIn(header, plain ? plainCookie : secureCookie);
    if (secret === null) return null;
    const device = this.#store.bySecret(hash(secret));
    if (device === null || device.plain !== plain || !this.#known.has(device.id)) return null;
    const now = this.#now();
    const awayMs = now.getTime() - Date.parse(device.seenAt);
    if (awayMs > idleDays * dayMs) {
      this.putOut(device.id);
      return null;
    }
    if (awayMs >= seenEveryMs) this.#sawAt(device, now);
    return this.#known.get(device.id) ?? null;
  }

  /** Renames a device or gives it another permission; both hold from its next message on. */
  change(id: string, name: string, permission: Permission): Result<Device> {
    const device = this.#known.get(id);
    if (device === undefined) return failure(noDevice(id));
    const named = readName(name);
    if (!named.ok) return named;
    const changed = { ...device, name: named.value, permission };
    const kept = this.#store.change(id, changed);
    if (!kept.ok) return kept;
    this.#known.set(id, changed);
    return success(changed);
  }

  /** Its secret is forgotten, its links are cut. */
  putOut(id: string): Result<void> {
    if (!this.#known.has(id)) return failure(noDevice(id));
    // Out at once, also when the disc refuses; the fault then says that it would be back after a new start.
    this.#known.delete(id);
    for (const tell of this.#onPutOut) tell(id);
    return this.#store.remove(id);
  }

  onPutOut(tell: (id: string) => void): void {
    this.#onPutOut.add(tell);
  }

  close(): void {
    this.#store.close();
  }

  /** When it was here is a courtesy: a disc that refuses must not keep anybody out. */
  #sawAt(device: Device, now: Date): void {
    this.#known.set(device.id, { ...(this.#known.get(device.id) ?? device), seenAt: now.toISOString() });
    this.#store.seen(device.id, now);
  }
}

/** Ends the session in the browser as well. */
export const forgetCookies: readonly string[] = [
  `${secureCookie}=; Path=/; Secure; HttpOnly; SameSite=Strict; Max-Age=0`,
  `${plainCookie}=; Path=/; HttpOnly; SameSite=Strict; Max-Age=0`,
];

function cookieOf(secret: Buffer, plain: boolean): string {
  const value = secret.toString("base64url");
  const rest = `Path=/; HttpOnly; SameSite=Strict; Max-Age=${cookieSeconds}`;
  return plain ? `${plainCookie}=${value}; ${rest}` : `${secureCookie}=${value}; Secure; ${rest}`;
}

/** The secret of exactly one cookie of this name; two of them are somebody else's doing. */
function secretIn(header: string | undefined, name: string): Buffer | null {
  const found = (header ?? "").split(";").flatMap((part) => {
    const [key = "", value = ""] = part.trim().split("=", 2);
    return key === name ? [value] : [];
  });
  const [value] = found;
  return found.length === 1 && value !== undefined && /^[A-Za-z0-9_-]{43}$/.test(value)
    ? Buffer.from(value, "base64url")
    : null;
}

function readName(text: string): Result<string> {
  const name = text.replace(/[\p{C}\s]+/gu, " ").trim();
  if (name !== "" && name.length <= longestName) return success(name);
  const mend = `Write one to ${longestName} characters, such as "phone at the meter".`;
  return failure(fault("bad-name", name === "" ? "The device has no name" : "The name is too long", "name", mend));
}

const noDevice = (id: string): ReturnType<typeof fault> =>
  fault("no-device", "There is no such device", id.slice(0, 80), "Look at the list again; it may be out already.");

const hash = (secret: Buffer): Buffer => createHash("sha256").update(secret).digest();
