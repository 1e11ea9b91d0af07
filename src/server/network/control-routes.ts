/** The switch, the code and the list of devices, for the loopback door alone. */

import type { FastifyInstance, FastifyRequest } from "fastify";
import type { Permission } from "../../store/index.ts";
import { failure, fault, type Result, success } from "../../units/index.ts";
import { sendFaults, sendResult } from "../answers.ts";
import type { Devices } from "./devices.ts";
import type { Network } from "./network.ts";
import { qrRows } from "./qr.ts";

export interface ControlParts {
  readonly network: Network;
  readonly devices: Devices;
  /** Tells open pages that a device has another name. */
  readonly renamed: () => void;
}

export function addControlRoutes(app: FastifyInstance, parts: ControlParts): void {
  const { network } = parts;
  app.get("/api/session", (_request, reply) => reply.send({ kind: "here", plain: false }));
  app.get("/api/network", (_request, reply) => reply.send(network.state()));
  app.post("/api/network", async (request, reply) => {
    const { on } = fields(request);
    if (on === null) return reply.send(await network.switchOff());
    if (on === "secure" || on === "plain") return sendResult(reply, await network.switchOn(on));
    return sendFaults(reply, [fault("bad-field", "It is not said how", "on", 'Send "secure", "plain" or null.')]);
  });
  app.post("/api/network/code", (request, reply) => {
    const permission = readPermission(fields(request).permission);
    if (!permission.ok) return sendFaults(reply, permission.faults);
    const made = network.newCode(permission.value);
    if (!made.ok) return sendFaults(reply, made.faults);
    const { words, until } = made.value;
    const links = network.state().origins.map((origin) => {
      const url = `${origin}/pair?code=${words.replaceAll(" ", "-")}`;
      return { url, qr: qrRows(url) };
    });
    return reply.code(201).send({ words, permission: permission.value, until: until.toISOString(), links });
  });
  app.delete("/api/network/code", (_request, reply) => {
    network.withdrawCode();
    return reply.send({});
  });
  addDeviceRoutes(app, parts);
}

type WithId = FastifyRequest<{ Params: { id: string } }>;

function addDeviceRoutes(app: FastifyInstance, { devices, renamed }: ControlParts): void {
  app.get("/api/devices", (_request, reply) => reply.send({ devices: devices.all() }));
  app.patch("/api/devices/:id", (request: WithId, reply) => {
    const { name, permission } = fields(request);
    const known = devices.get(request.params.id);
    const wanted = permission === undefined && known !== null ? success(known.permission) : readPermission(permission);
    if (!wanted.ok) return sendFaults(reply, wanted.faults);
    const called = typeof name === "string" ? name : (known?.name ?? "");
    const changed = devices.change(request.params.id, called, wanted.value);
    if (changed.ok) renamed();
    return sendResult(reply, changed);
  });
  app.delete("/api/devices/:id", (request: WithId, reply) =>
    sendResult(reply, devices.putOut(request.params.id), () => ({})),
  );
}

const fields = (request: FastifyRequest): Readonly<Record<string, unknown>> =>
  (request.body ?? {}) as Readonly<Record<string, unknown>>;

function readPermission(value: unknown): Result<Permission> {
  if (value === "look" || value === "meter" || value === "edit") return success(value);
  return failure(fault("bad-field", "There is no such permission", "permission", "Send look, meter or edit."));
}
