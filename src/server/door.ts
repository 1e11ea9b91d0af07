/**
 * A door of the server: who comes in through it and what they may do. The loopback door belongs to the people at
 * this machine; the network's door (`network/`) asks every visitor for the device's secret. Routes say in their
 * `config` what a device on the network needs; a route that says nothing is for this machine alone.
 */

import type { IncomingMessage } from "node:http";
import type { FastifyRequest } from "fastify";
import type { Permission } from "../store/index.ts";
import type { Fault } from "../units/index.ts";
import { judge, safeHeaders } from "./gate.ts";

declare module "fastify" {
  interface FastifyContextConfig {
    /** The least permission with which a device on the network may ask for this route; without it none may. */
    readonly remote?: Permission;
    /** Also for whoever was not let in: the pages and requests of letting in itself. */
    readonly stranger?: true;
  }
}

/** Who speaks: the people at this machine, or a device that was let in. */
export type Who = { readonly kind: "here" } | { readonly kind: "device"; readonly id: string };

export type Entry =
  | { readonly kind: "in"; readonly who: Who }
  /** Past the gate, but nobody we know. */
  | { readonly kind: "stranger" }
  | { readonly kind: "redirect"; readonly to: string }
  | { readonly kind: "shut"; readonly fault: Fault };

export interface Door {
  /** Headers of every answer. */
  headers(): Readonly<Record<string, string>>;
  /** Judges a request or, with method CONNECT, an upgrade. */
  enter(request: IncomingMessage, method: string): Entry;
  /** Null when they may; otherwise why not. Asked once the route is known. */
  refuse(entry: Entry, request: FastifyRequest): Fault | null;
}

/** The door on 127.0.0.1. Whoever passes its gate may do everything. */
export const loopbackDoor = (port: () => number): Door => ({
  headers: () => safeHeaders(port()),
  enter: (request, method) => {
    const verdict = judge(request.headers, method, request.url ?? "/", port());
    return verdict.kind === "open" ? { kind: "in", who: { kind: "here" } } : verdict;
  },
  refuse: () => null,
});

const rank: Readonly<Record<Permission, number>> = { look: 0, meter: 1, edit: 2 };

/** Whether `has` is at least `needed`. */
export const allows = (has: Permission, needed: Permission): boolean => rank[has] >= rank[needed];
