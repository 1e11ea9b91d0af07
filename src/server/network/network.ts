/**
 * The network side, switched on and off: certificates, listeners, the name, the code and the devices. It follows the
 * machine's addresses as they come and go and renews its certificate before it ends. Off unless somebody switches it
 * on; off again at every start.
 */

import { createServer, type RequestListener, type Server } from "node:http";
import { createServer as createSecureServer, type Server as SecureServer } from "node:https";
import type { FastifyInstance } from "fastify";
import type { Permission, Store } from "../../store/index.ts";
import { type Fault, failure, fault, type Result, success } from "../../units/index.ts";
import { makeApp } from "../app.ts";
import type { Links } from "../links.ts";
import { listenFault } from "../listen-fault.ts";
import { networkAddresses } from "./addresses.ts";
import { type Authority, openAuthority, openServed } from "./authority.ts";
import type { Pair } from "./certificates.ts";
import { type OpenCode, PairingCode } from "./code.ts";
import type { Devices } from "./devices.ts";
import { Front } from "./front.ts";
import { Lines } from "./lines.ts";
import { LocalName } from "./local-name.ts";
import { networkDoor } from "./network-door.ts";
import { addPairRoutes } from "./pair-routes.ts";
import { originsOf, type Site } from "./site.ts";
import { trustServer } from "./trust-server.ts";

/** One fixed port, for the same reason as on the loopback address. */
export const defaultNetworkPort = 47116;

/** `plain`: HTTP without certificates, only because somebody chose it. */
export type Mode = "secure" | "plain";

export interface NetworkOptions {
  readonly port?: number;
  /** Addresses to serve instead of the machine's own, as they are at each look; for tests. */
  readonly addresses?: () => readonly string[];
  /** How often the addresses and the certificate are looked at, ms. */
  readonly lookEveryMs?: number;
  /** Port of multicast DNS; null answers for no name. */
  readonly mdnsPort?: number | null;
}

export interface NetworkParts {
  readonly store: Store;
  readonly links: Links;
  /** Adds the book's routes to the app; the door judges each. */
  readonly addBook: (app: FastifyInstance) => void;
  readonly devices: Devices;
  readonly webDir: string;
  readonly now: () => Date;
  readonly newId: () => string;
  readonly patienceMs: number;
  readonly options: NetworkOptions;
}

/** What the switch shows. */
export interface NetworkState {
  readonly on: Mode | null;
  readonly name: string | null;
  readonly port: number;
  /** "https://stopwise-k3f9w2.local:47116", then the same by address. */
  readonly origins: readonly string[];
  readonly fingerprint: string | null;
  /** What went wrong since it was switched on: an address that is gone, a name that nobody answers for. */
  readonly faults: readonly Fault[];
  readonly code: { readonly words: string; readonly permission: Permission; readonly until: string } | null;
}

/** A route as the app of the network side has it. */
export interface ListedRoute {
  readonly method: string;
  readonly path: string;
  readonly remote: Permission | "stranger" | null;
}

/** While it is on. */
interface Running {
  readonly mode: Mode;
  readonly authority: Authority | null;
  readonly app: FastifyInstance;
  readonly front: Front;
  readonly secure: SecureServer | null;
  readonly name: LocalName | null;
  readonly timer: ReturnType<typeof setInterval>;
  readonly routes: readonly ListedRoute[];
  site: Site;
  served: string;
  faults: readonly Fault[];
}

export class Network {
  readonly #parts: NetworkParts;
  readonly #code = new PairingCode();
  readonly #lines = new Lines();
  #running: Running | null = null;
  /** One switching after the other. */
  #queue: Promise<unknown> = Promise.resolve();

  constructor(parts: NetworkParts) {
    this.#parts = parts;
    parts.devices.onPutOut((id) => {
      parts.links.putOut(id);
      this.#lines.cut(id);
    });
  }

  state(): NetworkState {
    const running = this.#running;
    const code = this.#code.current(this.#parts.now());
    return {
      on: running?.mode ?? null,
      name: running?.authority?.name ?? null,
      port: running?.site.port ?? this.#port,
      origins: running === null ? [] : originsOf(running.site),
      fingerprint: running?.authority?.fingerprint ?? null,
      faults: running?.faults ?? [],
      code: code === null ? null : { ...code, until: code.until.toISOString() },
    };
  }

  /** The routes of the app while it is on. */
  routes(): readonly ListedRoute[] {
    return this.#running?.routes ?? [];
  }

  /** Faults: no network, port taken, clock wrong, certificate ended, disc. Nothing stays open after a fault. */
  switchOn(mode: Mode): Promise<Result<NetworkState>> {
    return this.#inTurn(async () => {
      if (this.#running?.mode === mode) return success(this.state());
      await this.#stop();
      const begun = await this.#begin(mode);
      if (!begun.ok) return begun;
      this.#running = begun.value;
      return success(this.state());
    });
  }

  switchOff(): Promise<NetworkState> {
    return this.#inTurn(async () => {
      await this.#stop();
      return this.state();
    });
  }

  /** A new code for one device; an earlier one is void. */
  newCode(permission: Permission): Result<OpenCode> {
    if (this.#running === null) return failure(isOff);
    return success(this.#code.make(permission, this.#parts.now()));
  }

  withdrawCode(): void {
    this.#code.withdraw();
  }

  get #port(): number {
    return this.#parts.options.port ?? defaultNetworkPort;
  }

  get #addresses(): readonly string[] {
    return (this.#parts.options.addresses ?? networkAddresses)();
  }

  #inTurn<T>(work: () => Promise<T>): Promise<T> {
    const done = this.#queue.then(work);
    this.#queue = done.catch(() => undefined);
    return done;
  }

  async #begin(mode: Mode): Promise<Result<Running>> {
    const addresses = this.#addresses;
    if (addresses.length === 0) return failure(noNetwork);
    const { store, now } = this.#parts;
    const authority = mode === "plain" ? success(null) : await openAuthority(store.dataDir, now());
    if (!authority.ok) return authority;
    const served =
      authority.value === null ? success(null) : await openServed(store.dataDir, authority.value, addresses, now());
    if (!served.ok) return served;
    const running = await this.#build(mode, authority.value, served.value, addresses);
    const listening = await this.#listen(running, addresses);
    if (listening.ok) return listening;
    await this.#end(running);
    return listening;
  }

  async #build(
    mode: Mode,
    authority: Authority | null,
    served: Pair | null,
    addresses: readonly string[],
  ): Promise<Running> {
    const { mdnsPort } = this.#parts.options;
    const site: Site = { name: authority?.name ?? null, addresses, port: this.#port, plain: mode === "plain" };
    // The app is asked about the site as it is at each request; what it needs is filled in just below.
    const box: { running?: Running } = {};
    const siteNow = (): Site => box.running?.site ?? site;
    const { app, routes, server } = await this.#makeApp(siteNow, authority, served);
    const secure = served === null ? null : (server as SecureServer);
    const plain = authority === null ? server : trustServer(siteNow, authority);
    const name =
      authority === null || mdnsPort === null
        ? null
        : new LocalName(authority.name, mdnsPort === undefined ? {} : { port: mdnsPort });
    const timer = setInterval(() => void this.#inTurn(() => this.#look()), this.#parts.options.lookEveryMs ?? 5000);
    timer.unref();
    const front = new Front({ secure, plain, patienceMs: Math.min(this.#parts.patienceMs, longestSilenceMs) });
    const faults: readonly Fault[] = [];
    box.running = {
      ...{ mode, authority, app, front, secure, name, timer, routes },
      ...{ site, served: served?.certificate ?? "", faults },
    };
    return box.running;
  }

  async #makeApp(
    site: () => Site,
    authority: Authority | null,
    served: Pair | null,
  ): Promise<{ app: FastifyInstance; routes: readonly ListedRoute[]; server: Server }> {
    const { links, addBook, devices, webDir, now, newId, patienceMs } = this.#parts;
    const door = networkDoor(site, devices, (id, line) => this.#lines.met(id, line));
    const limits = { requestTimeout: patienceMs, connectionsCheckingInterval: patienceMs / 4 };
    let server = createServer();
    const serverFor = (handler: RequestListener): Server => {
      server =
        served === null
          ? createServer(limits, handler)
          : createSecureServer(
              { ...limits, ...tlsOf(served), handshakeTimeout: Math.min(patienceMs, longestSilenceMs) },
              handler,
            );
      return server;
    };
    const app = makeApp({ door, webDir, patienceMs, serverFor, strangersGoTo: "/pair" });
    const routes: ListedRoute[] = [];
    app.addHook("onRoute", ({ method, url, config }) => {
      const remote = config?.stranger === true ? "stranger" : (config?.remote ?? null);
      for (const one of [method].flat()) routes.push({ method: one, path: url, remote });
    });
    addBook(app);
    const words = (): ReturnType<typeof pageWords> => pageWords(site(), authority);
    addPairRoutes(app, { devices, code: this.#code, words, download: authority?.download ?? null, now, newId });
    await app.ready();
    links.serve(server, door);
    return { app, routes, server };
  }

  /** Listens on all addresses; those that fail are faults, and it is one when all do. */
  async #listen(running: Running, addresses: readonly string[]): Promise<Result<Running>> {
    const faults: Fault[] = [];
    for (const address of addresses) {
      if (running.front.addresses.includes(address)) continue;
      try {
        const port = await running.front.listen(address, running.site.port);
        running.site = { ...running.site, port };
      } catch (error) {
        faults.push(listenFault(error, address, running.site.port, "--network-port"));
      }
    }
    const open = running.front.addresses;
    running.site = { ...running.site, addresses: open };
    running.faults = faults;
    if (open.length === 0) return failure(...faults);
    running.name?.follow(open);
    return success(running);
  }

  /** Follows the addresses, and renews the certificate when it is due or an address is new. */
  async #look(): Promise<void> {
    const running = this.#running;
    if (running === null) return;
    const addresses = this.#addresses;
    for (const gone of running.front.addresses) if (!addresses.includes(gone)) running.front.leave(gone);
    if (addresses.length === 0) {
      running.site = { ...running.site, addresses: [] };
      running.name?.follow([]);
      running.faults = [noNetwork];
      return;
    }
    const renewed = await this.#renew(running, addresses);
    const listening = await this.#listen(running, addresses);
    running.faults = [...renewed, ...(listening.ok ? listening.value.faults : listening.faults)];
  }

  async #renew(running: Running, addresses: readonly string[]): Promise<readonly Fault[]> {
    const { authority, secure } = running;
    if (authority === null || secure === null) return [];
    const served = await openServed(this.#parts.store.dataDir, authority, addresses, this.#parts.now());
    if (!served.ok) return served.faults;
    if (served.value.certificate !== running.served) secure.setSecureContext(tlsOf(served.value));
    running.served = served.value.certificate;
    return [];
  }

  async #stop(): Promise<void> {
    const running = this.#running;
    this.#running = null;
    this.#code.withdraw();
    if (running !== null) await this.#end(running);
  }

  async #end({ timer, name, front, app }: Running): Promise<void> {
    clearInterval(timer);
    name?.close();
    await front.close();
    await app.close();
  }
}

/** Nobody needs longer to begin to speak, or for the handshake. */
const longestSilenceMs = 10_000;

const tlsOf = ({ certificate, key }: Pair): { cert: string; key: string; minVersion: "TLSv1.2" } => ({
  cert: certificate,
  key,
  minVersion: "TLSv1.2",
});

const pageWords = (
  site: Site,
  authority: Authority | null,
): { name: string; fingerprint: string; plain: boolean; origin: string } => ({
  name: site.name ?? "",
  fingerprint: authority?.fingerprint ?? "",
  plain: site.plain,
  origin: originsOf(site)[0] ?? "",
});

const noNetwork = fault(
  "no-network",
  "This computer is on no network that phones could share",
  "network",
  "Join a network. Without one, switch on the hotspot of a phone and let the computer and the others join that.",
);

const isOff = fault("network-off", "Letting phones in is switched off", "network", "Switch it on first.");
