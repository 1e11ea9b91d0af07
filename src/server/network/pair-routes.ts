/** The routes of the network side for whoever was not let in, and what a device asks about itself. */

import type { FastifyInstance, FastifyReply } from "fastify";
import { type Fault, fault } from "../../units/index.ts";
import { sendFaults } from "../answers.ts";
import type { PairingCode } from "./code.ts";
import { type Devices, forgetCookies } from "./devices.ts";
import { type PageWords, pairCss, pairPage, trustPage } from "./pages.ts";

export interface PairParts {
  readonly devices: Devices;
  readonly code: PairingCode;
  readonly words: () => PageWords;
  /** The authority's certificate without its key; null over plain HTTP, which needs none. */
  readonly download: Buffer | null;
  readonly now: () => Date;
  readonly newId: () => string;
}

const html = "text/html; charset=utf-8";
const stranger = { stranger: true } as const;
const longestForm = 2048;

export function addPairRoutes(app: FastifyInstance, parts: PairParts): void {
  addPages(app, parts);
  app.get("/api/session", { config: stranger }, (request, reply) => {
    const { plain } = parts.words();
    const device = parts.devices.recognise(request.headers.cookie, plain);
    return reply.send(device === null ? { kind: "stranger", plain } : { kind: "device", plain, device });
  });
  app.register((scope, _options, done) => {
    scope.addContentTypeParser("application/x-www-form-urlencoded", { parseAs: "string" }, (_request, body, parsed) =>
      parsed(null, Object.fromEntries(new URLSearchParams(String(body)))),
    );
    scope.post("/pair", { config: stranger, bodyLimit: longestForm }, (request, reply) => {
      const { code, name } = readForm(request.body);
      const asksForPage = !(request.headers["content-type"] ?? "").startsWith("application/json");
      const admitted = letIn(parts, code, name, request.socket.remoteAddress ?? "");
      if ("cookie" in admitted) {
        reply.header("set-cookie", admitted.cookie);
        return asksForPage ? reply.redirect("/", 303) : reply.code(201).send({ device: admitted.device });
      }
      if (!asksForPage) return sendFaults(reply, [admitted]);
      const shown = pairPage(parts.words(), admitted.code === "wrong-code" ? "" : code, name, sentence(admitted));
      return noStore(reply).code(statusOf(admitted)).type(html).send(shown);
    });
    done();
  });
  // A device may leave by itself; its cookie goes too.
  app.delete("/api/session", { config: { remote: "look" } }, (request, reply) => {
    const device = parts.devices.recognise(request.headers.cookie, parts.words().plain);
    if (device !== null) parts.devices.putOut(device.id);
    return reply.header("set-cookie", forgetCookies as string[]).send({});
  });
}

function addPages(app: FastifyInstance, parts: PairParts): void {
  app.get("/pair", { config: stranger }, (request, reply) => {
    const { code } = request.query as { readonly code?: unknown };
    const typed = typeof code === "string" ? code.slice(0, 80).replaceAll("-", " ") : "";
    return noStore(reply)
      .type(html)
      .send(pairPage(parts.words(), typed, "", null));
  });
  app.get("/pair.css", { config: stranger }, (_request, reply) =>
    reply.header("cache-control", "no-cache").type("text/css; charset=utf-8").send(pairCss),
  );
  const { download } = parts;
  if (download === null) return;
  app.get("/trust", { config: stranger }, (_request, reply) =>
    noStore(reply).type(html).send(trustPage(parts.words())),
  );
  app.get("/authority.crt", { config: stranger }, (_request, reply) =>
    noStore(reply)
      .header("content-disposition", 'attachment; filename="stopwise.crt"')
      .type("application/x-x509-ca-cert")
      .send(download),
  );
}

const noStore = (reply: FastifyReply): FastifyReply => reply.header("cache-control", "no-store");

function letIn(
  { code, devices, words, now, newId }: PairParts,
  typed: string,
  name: string,
  address: string,
): { readonly device: object; readonly cookie: string } | Fault {
  // The name first: a slip there must not use up the code.
  if (name.trim() === "") return fault("bad-name", "The device has no name", "name", "Write what it is called.");
  const verdict = code.guess(typed, address, now());
  if (verdict.kind === "right") {
    const admitted = devices.admit(newId(), name, verdict.permission, words().plain);
    return admitted.ok ? admitted.value : (admitted.faults[0] as Fault);
  }
  return refusals[verdict.kind];
}

const refusals: Readonly<Record<"wrong" | "no-code" | "slow-down", Fault>> = {
  wrong: fault("wrong-code", "These are not the words on the screen", "code", "Read them once more."),
  "no-code": fault("wrong-code", "No code is open, or its two minutes are over", "code", "Make a new one there."),
  "slow-down": fault("too-many-tries", "Too many wrong codes came from this device", "code", "Wait a minute first."),
};

const statusOf = ({ code }: Fault): number =>
  code === "too-many-tries" ? 429 : code === "wrong-code" ? 403 : code.startsWith("disc-") ? 507 : 400;

const sentence = ({ what, mend }: Fault): string => `${what}. ${mend}`;

function readForm(body: unknown): { readonly code: string; readonly name: string } {
  const { code, name } = (body ?? {}) as { readonly code?: unknown; readonly name?: unknown };
  const text = (value: unknown): string => (typeof value === "string" ? value.slice(0, 200) : "");
  return { code: text(code), name: text(name) };
}
