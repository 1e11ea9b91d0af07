/** The network's door: past the gate, a visitor is the device whose secret the cookie carries, or a stranger. */

import type { Socket } from "node:net";
import type { FastifyRequest } from "fastify";
import { type Fault, fault } from "../../units/index.ts";
import { allows, type Door, type Entry } from "../door.ts";
import type { Devices } from "./devices.ts";
import { judgeSite, type Site, siteHeaders } from "./site.ts";

/** `met` is told of every line that a device comes by, so that it can be cut when the device is put out. */
export function networkDoor(site: () => Site, devices: Devices, met: (id: string, line: Socket) => void): Door {
  return {
    headers: () => siteHeaders(site()),
    enter: (request, method) => {
      const shut = judgeSite(request, method, site());
      if (shut !== null) return shut;
      const device = devices.recognise(request.headers.cookie, site().plain);
      if (device === null) return { kind: "stranger" };
      met(device.id, request.socket);
      return { kind: "in", who: { kind: "device", id: device.id } };
    },
    refuse: (entry, request) => refuse(entry, request, devices),
  };
}

function refuse(entry: Entry, request: FastifyRequest, devices: Devices): Fault | null {
  const { remote, stranger } = request.routeOptions.config;
  if (stranger === true) return null;
  if (entry.kind !== "in" || entry.who.kind !== "device") return notLetIn;
  const device = devices.get(entry.who.id);
  if (device === null) return notLetIn;
  // What is no route is a file of the page, or nothing.
  if (request.is404) return null;
  if (remote === undefined) return hereOnly;
  return allows(device.permission, remote) ? null : notAllowed;
}

const notLetIn = fault(
  "not-let-in",
  "This device was not let in, or was put out",
  "session",
  "At the computer choose Let a phone in, then open the address that it shows.",
);

const hereOnly = fault(
  "not-allowed",
  "This can be done only at the computer that keeps the book",
  "session",
  "Do it there.",
);

const notAllowed = fault(
  "not-allowed",
  "This device was let in without permission for this",
  "session",
  "Change its permission at the computer, under Let a phone in.",
);
