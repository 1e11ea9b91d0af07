/** The book over HTTP. What each route takes and gives stands in docs/internals.md. */

import { createReadStream, createWriteStream, rmSync, statSync } from "node:fs";
import { join } from "node:path";
import { type Readable, Transform } from "node:stream";
import { pipeline } from "node:stream/promises";
import type { FastifyInstance, FastifyReply, FastifyRequest } from "fastify";
import { parseSetup } from "../setup/index.ts";
import { kitName, type Store, setupName } from "../store/index.ts";
import { fault } from "../units/index.ts";
import { sendFaults, sendResult, tooBig } from "./answers.ts";
import { readCardQuery } from "./card-query.ts";
import type { Links } from "./links.ts";
import { documentName } from "./names.ts";

const setupCapBytes = 8 * 1024 * 1024;
const importCapBytes = 256 * 1024 * 1024;
const backupCapBytes = 4 * 1024 * 1024 * 1024;

/** What a device on the network needs; a route that says neither is for this machine alone (`door.ts`). */
const look = { config: { remote: "look" } } as const;
const edit = { config: { remote: "edit" } } as const;

export interface RouteParts {
  readonly store: Store;
  readonly links: () => Links;
  readonly newId: () => string;
  /** Called when a backup has taken the book's place. */
  readonly restored?: () => void;
}

export function addRoutes(app: FastifyInstance, parts: RouteParts): void {
  addSetupRoutes(app, parts);
  addBookRoutes(app, parts);
  addBackupRoutes(app, parts);
}

type WithId = FastifyRequest<{ Params: { id: string } }>;

function addSetupRoutes(app: FastifyInstance, { store, links }: RouteParts): void {
  const named = (id: string): { readonly id: string; readonly document: string } => ({
    id,
    document: documentName(store.identity, setupName(id)),
  });
  app.post("/api/setups", { ...edit, bodyLimit: setupCapBytes }, (request, reply) => {
    const setup = parseSetup(request.body);
    if (!setup.ok) return sendFaults(reply, setup.faults);
    const added = store.addSetups([setup.value]);
    return added.ok ? reply.code(201).send(named(setup.value.id)) : sendFaults(reply, added.faults);
  });
  app.get("/api/setups/:id", look, (request: WithId, reply) => {
    const { id } = request.params;
    if (store.find(setupName(id))?.trashed === true) return sendFaults(reply, [inTrash(id)]);
    return sendResult(reply, store.setup(id));
  });
  app.delete("/api/setups/:id", edit, (request: WithId, reply) => {
    const { id } = request.params;
    const trashed = store.trash(id, true);
    if (trashed.ok) links().refuse("deleted", setupName(id));
    return sendResult(reply, trashed, () => ({ id }));
  });
  app.post("/api/setups/:id/restore", edit, (request: WithId, reply) => {
    const { id } = request.params;
    return sendResult(reply, store.trash(id, false), () => named(id));
  });
}

const inTrash = (id: string): ReturnType<typeof fault> =>
  fault("deleted", "This setup lies in the trash", id, "Take it out of the trash first.");

function addBookRoutes(app: FastifyInstance, { store, links }: RouteParts): void {
  app.get("/api/book", look, (_request, reply) => reply.send(store.info()));
  app.get("/api/cards", look, (request, reply) => {
    const filter = readCardQuery(queryOf(request));
    return filter.ok ? sendResult(reply, store.cards(filter.value)) : sendFaults(reply, filter.faults);
  });
  app.get("/api/trash", edit, (request, reply) => {
    const filter = readCardQuery(queryOf(request));
    return filter.ok
      ? sendResult(reply, store.cards({ ...filter.value, trashed: true }))
      : sendFaults(reply, filter.faults);
  });
  app.get("/api/kit", look, (_request, reply) => sendResult(reply, store.kit()));
  app.get("/api/export", (_request, reply) => {
    reply.header("content-disposition", 'attachment; filename="stopwise-book.json"');
    return sendResult(reply, store.exportBook());
  });
  app.post("/api/import", { bodyLimit: importCapBytes }, (request, reply) => {
    const imported = store.importBook(request.body);
    if (imported.ok && imported.value.kitUpdate !== null) links().tell(kitName, imported.value.kitUpdate);
    return sendResult(reply, imported, ({ setups, same, kitItems, ids }) => ({ setups, same, kitItems, ids }));
  });
}

const queryOf = (request: FastifyRequest): URLSearchParams =>
  new URLSearchParams((request.raw.url ?? "").split("?").slice(1).join("?"));

function addBackupRoutes(app: FastifyInstance, { store, links, newId, restored }: RouteParts): void {
  const bytes = "application/octet-stream";
  // The file goes to the disc piece by piece, never whole into memory.
  app.addContentTypeParser(bytes, (_request, payload, done) => done(null, payload));
  app.get("/api/backup", async (_request, reply) => {
    const file = join(store.dataDir, `outgoing-${newId()}.sqlite`);
    const made = await store.backup(file);
    return made.ok ? sendAndRemove(reply, file) : sendFaults(reply, made.faults);
  });
  app.post("/api/restore", { bodyLimit: backupCapBytes }, async (request, reply) => {
    if (!(request.headers["content-type"] ?? "").startsWith(bytes)) return sendFaults(reply, [notBytes]);
    const file = join(store.dataDir, `incoming-${newId()}.sqlite`);
    try {
      if (!(await receive(request.body as Readable, file))) return sendFaults(reply, [tooBig("/api/restore")]);
      const book = store.restore(file);
      if (!book.ok)
        return sendFaults(
          reply,
          book.faults.map((f) => ({ ...f, where: f.where.replaceAll(file, "the backup") })),
        );
      links().refuse("restored");
      restored?.();
      return reply.send(book.value);
    } finally {
      for (const end of ["", "-wal", "-shm", "-journal"]) rmSync(`${file}${end}`, { force: true });
    }
  });
}

const notBytes = fault(
  "wrong-type",
  "A backup is a file of bytes",
  "/api/restore",
  "Send the file that GET /api/backup gave, as application/octet-stream.",
);

function sendAndRemove(reply: FastifyReply, file: string): FastifyReply {
  const stream = createReadStream(file);
  stream.on("close", () => rmSync(file, { force: true }));
  reply.header("content-disposition", 'attachment; filename="stopwise-backup.sqlite"');
  reply.header("content-length", statSync(file).size);
  return reply.type("application/octet-stream").send(stream);
}

/** False when there was more than a backup may hold. */
async function receive(body: Readable, file: string): Promise<boolean> {
  let count = 0;
  const capped = new Transform({
    transform(chunk: Buffer, _encoding, done) {
      count += chunk.length;
      if (count <= backupCapBytes) done(null, chunk);
      else done();
    },
  });
  await pipeline(body, capped, createWriteStream(file, { flags: "wx" }));
  return count <= backupCapBytes;
}
