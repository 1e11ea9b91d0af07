/** Test frames over HTTP. What each route takes and gives stands in docs/internals.md. */

import { createReadStream, existsSync, rmSync, statSync } from "node:fs";
import type { Readable } from "node:stream";
import type { FastifyInstance, FastifyReply, FastifyRequest } from "fastify";
import { LARGEST_FILE } from "../../files/index.ts";
import type { MixFormat } from "../../files/node.ts";
import type { Shows } from "../../frames/index.ts";
import { personSays, type Store } from "../../store/index.ts";
import { failure, fault, type Result, success } from "../../units/index.ts";
import { sendFaults, sendResult } from "../answers.ts";
import type { FrameDesk } from "./desk.ts";
import { folderFromAfar } from "./events.ts";
import { mixParts, readMixRequest } from "./mix-request.ts";
import { tooLarge } from "./receive.ts";

export interface FrameRouteParts {
  readonly store: Store;
  readonly desk: FrameDesk;
  /** Whether who asks sits at this machine: devices on the network are not told of its folders. */
  readonly isHere: boolean;
}

/** What a device on the network needs; a route that says neither is for this machine alone. */
const look = { config: { remote: "look" } } as const;
const edit = { config: { remote: "edit" } } as const;

type WithId = FastifyRequest<{ Params: { id: string } }>;

export function addFrameRoutes(app: FastifyInstance, parts: FrameRouteParts): void {
  addSetupFrames(app, parts);
  addFrameFiles(app, parts);
  addFrameChanges(app, parts);
  addMix(app, parts);
}

function addSetupFrames(app: FastifyInstance, { store, desk, isHere }: FrameRouteParts): void {
  app.get("/api/setups/:id/frames", look, (request: WithId, reply) => {
    const list = desk.list(request.params.id);
    return sendResult(reply, list, (told) => (isHere ? told : { ...told, folder: folderFromAfar(told.folder) }));
  });
  app.post("/api/setups/:id/frames", { ...edit, bodyLimit: LARGEST_FILE }, async (request: WithId, reply) => {
    const name = nameOf(request);
    if (!name.ok) return sendFaults(reply, name.faults);
    if (Number(request.headers["content-length"] ?? 0) > LARGEST_FILE) {
      return sendFaults(reply.header("connection", "close"), [tooLarge(name.value)]);
    }
    const added = await desk.add(request.params.id, name.value, request.body as Readable);
    if (!added.ok) return sendFaults(reply, added.faults);
    return reply.code(added.value.isNew ? 201 : 200).send(added.value.card);
  });
  app.get("/api/setups/:id/frames/events", look, (request: WithId, reply) => {
    const listed = store.frames.list(request.params.id);
    if (!listed.ok) return sendFaults(reply, listed.faults);
    const headers = Object.fromEntries(
      Object.entries(reply.getHeaders()).map(([name, value]) => [name, String(value)]),
    );
    if (!desk.news.listen(request.params.id, reply.raw, headers, isHere)) {
      const what = "Too many pages are listening";
      return sendFaults(reply, [fault("too-many", what, "frames", "Close other pages of this book.")], 503);
    }
    return reply.hijack();
  });
  // Which folder of this machine is read is for this machine alone to say.
  app.put("/api/setups/:id/frame-folder", async (request: WithId, reply) => {
    const path = (request.body as { readonly path?: unknown } | null)?.path;
    if (path !== null && typeof path !== "string") {
      return sendFaults(reply, [fault("folder-path", "The path is missing", "path", "Send a path, or null for off.")]);
    }
    return sendResult(reply, await desk.setFolder(request.params.id, path));
  });
}

function addFrameFiles(app: FastifyInstance, { store }: FrameRouteParts): void {
  app.get("/api/frames/:id/original", look, (request: WithId, reply) => {
    const card = store.frames.card(request.params.id);
    if (!card.ok) return sendFaults(reply, card.faults);
    const files = store.frames.files(request.params.id);
    if (!files.ok) return sendFaults(reply, files.faults);
    // Never shown by the browser itself: it is somebody's file.
    reply.header("content-disposition", `attachment; filename*=UTF-8''${encodeURIComponent(card.value.name)}`);
    return sendFile(reply, files.value.original, "application/octet-stream");
  });
  app.get("/api/frames/:id/proxy", look, (request: WithId, reply) => {
    const files = store.frames.files(request.params.id);
    if (!files.ok) return sendFaults(reply, files.faults);
    return sendFile(reply, files.value.proxy, "application/octet-stream");
  });
  app.get("/api/frames/:id/thumb", look, (request: WithId, reply) => {
    const files = store.frames.files(request.params.id);
    if (!files.ok) return sendFaults(reply, files.faults);
    return sendFile(reply, files.value.thumb, "image/jpeg");
  });
}

function sendFile(reply: FastifyReply, path: string, type: string): FastifyReply {
  if (!existsSync(path)) {
    const mend = "Take the frame out and add its file again.";
    return sendFaults(reply, [fault("no-frame-file", "This part of the frame is not on this machine", "frame", mend)]);
  }
  reply.header("content-length", statSync(path).size);
  return reply.type(type).send(createReadStream(path));
}

function addFrameChanges(app: FastifyInstance, { store, desk }: FrameRouteParts): void {
  app.put("/api/frames/:id/shows", edit, (request: WithId, reply) => {
    const shows = readShows((request.body as { readonly shows?: unknown } | null)?.shows);
    if (!shows.ok) return sendFaults(reply, shows.faults);
    const said = shows.value === null ? null : personSays(shows.value);
    const card = store.frames.setAssignment(request.params.id, said);
    if (card.ok) desk.changed(card.value);
    return sendResult(reply, card);
  });
  app.delete("/api/frames/:id", edit, (request: WithId, reply) =>
    sendResult(reply, desk.remove(request.params.id), ({ id }) => ({ id })),
  );
}

/** The mix at full size, from the files as they came: made on the disc, sent, taken away. */
function addMix(app: FastifyInstance, { store, desk }: FrameRouteParts): void {
  app.post("/api/setups/:id/frames/mix", look, async (request: WithId, reply) => {
    const wanted = readMixRequest(request.body);
    if (!wanted.ok) return sendFaults(reply, wanted.faults);
    const cards = store.frames.list(request.params.id);
    if (!cards.ok) return sendFaults(reply, cards.faults);
    const setup = store.setup(request.params.id);
    if (!setup.ok) return sendFaults(reply, setup.faults);
    const { settings, format } = wanted.value;
    const parts = mixParts(store, cards.value, settings, setup.value.exposure.whiteBalanceK);
    const out = store.frames.newPartial();
    if (!parts.ok) return sendFaults(reply, parts.faults);
    if (!out.ok) return sendFaults(reply, out.faults);
    const mixed = await desk.decoder.mix({ ...NO_TOLD, parts: parts.value, format, out: out.value });
    if (mixed.ok) return sendAndRemove(reply, out.value, format);
    rmSync(out.value, { force: true });
    return sendFaults(reply, mixed.faults);
  });
}

/** Files as they say of themselves. */
const NO_TOLD = { meaning: null, response: null } as const;

function sendAndRemove(reply: FastifyReply, path: string, format: MixFormat): FastifyReply {
  const stream = createReadStream(path);
  stream.on("close", () => rmSync(path, { force: true }));
  const ending = format === "tiff16" ? "tif" : "png";
  reply.header("content-disposition", `attachment; filename="mix.${ending}"`);
  reply.header("content-length", statSync(path).size);
  return reply.type(format === "tiff16" ? "image/tiff" : "image/png").send(stream);
}

/** The file's own name: no folder, nothing that is not to be seen. */
function nameOf(request: FastifyRequest): Result<string> {
  const query = new URLSearchParams((request.raw.url ?? "").split("?").slice(1).join("?"));
  const name = (query.get("name") ?? "").split(/[/\\]/).at(-1)?.trim() ?? "";
  if (!(request.headers["content-type"] ?? "").startsWith("application/octet-stream")) {
    const mend = "Send the file's bytes as application/octet-stream.";
    return failure(fault("wrong-type", "A frame is a file of bytes", "/api/setups/ID/frames", mend));
  }
  // biome-ignore lint/suspicious/noControlCharactersInRegex: they are what must not be there
  if (name === "" || name.length > 200 || /[\u0000-\u001f\u007f]/.test(name)) {
    return failure(fault("frame-name", "The file has no name that can be kept", "name", "Send ?name=0412.jpg."));
  }
  return success(name);
}

const ID = /^[A-Za-z0-9_.:-]{1,64}$/;
const isId = (value: unknown): value is string => typeof value === "string" && ID.test(value);

/** What a person says that a frame shows; null gives it back to the machine. */
function readShows(value: unknown): Result<Shows | null> {
  const { kind, lightId, lightIds } = (value ?? {}) as Readonly<Record<string, unknown>>;
  if (value === null) return success(null);
  if (kind === "ambient" || kind === "session" || kind === "aside") return success({ kind });
  if (kind === "light" && isId(lightId)) return success({ kind, lightId });
  if (kind === "together" && Array.isArray(lightIds) && lightIds.length <= 64 && lightIds.every(isId)) {
    return success({ kind, lightIds });
  }
  const mend = "Send a light and its id, together and its lights' ids, ambient, session, aside, or null.";
  return failure(fault("bad-shows", "What the frame shows is not said in words that are known", "shows", mend));
}
