/** Failures as answers: `{ faults: [...] }` with a status that says whose mistake it was. */

import type { FastifyReply } from "fastify";
import { type Fault, fault, type Result } from "../units/index.ts";

/** Faults that are not the asker's mistake, or that have a status of their own; all others are 400. */
const statusOf: Readonly<Record<string, number>> = {
  "no-setup": 404,
  "no-page": 404,
  "no-frame": 404,
  "no-frame-file": 404,
  "no-such-path": 404,
  "id-taken": 409,
  deleted: 410,
  "too-slow": 408,
  "too-big": 413,
  "wrong-type": 415,
  "frame-too-large": 413,
  "not-let-in": 401,
  "not-allowed": 403,
  "wrong-code": 403,
  "too-many-tries": 429,
  "no-device": 404,
  "network-off": 409,
  "wrong-host": 403,
  "wrong-origin": 403,
  "not-built": 503,
  "disc-full": 507,
  "disc-read-only": 500,
  "disc-error": 500,
  "book-busy": 503,
  "decoder-failed": 500,
  "decoder-missing": 503,
  "decoder-closed": 503,
  "server-error": 500,
};

export function sendFaults(reply: FastifyReply, faults: readonly Fault[], status?: number): FastifyReply {
  const code = status ?? statusOf[faults[0]?.code ?? ""] ?? 400;
  return reply.code(code).type("application/json; charset=utf-8").send({ faults });
}

/** The value as JSON, or its faults. */
export function sendResult<T>(
  reply: FastifyReply,
  result: Result<T>,
  shape: (value: T) => unknown = (v) => v,
): FastifyReply {
  return result.ok ? reply.send(shape(result.value)) : sendFaults(reply, result.faults);
}

/** What the HTTP server threw, in words; never its message, which may name files of this machine. */
export function httpFault(error: unknown, where: string): Fault {
  const { code, statusCode } = error as { readonly code?: unknown; readonly statusCode?: unknown };
  if (code === "FST_ERR_CTP_BODY_TOO_LARGE") return tooBig(where);
  if (code === "FST_ERR_CTP_INVALID_MEDIA_TYPE") {
    return fault(
      "wrong-type",
      "The body is not of a kind that is read here",
      where,
      "Send it as application/json; a backup as application/octet-stream.",
    );
  }
  if (
    code === "FST_ERR_CTP_INVALID_JSON_BODY" ||
    code === "FST_ERR_CTP_EMPTY_JSON_BODY" ||
    error instanceof SyntaxError
  ) {
    return fault("bad-json", "The body is not JSON", where, "Send one JSON value.");
  }
  if (statusCode === 408) {
    return fault("too-slow", "The request did not come whole in time", where, "Send it again.");
  }
  if (typeof statusCode === "number" && statusCode >= 400 && statusCode < 500) {
    return fault("bad-request", "The request cannot be read", where, "Check how it is written.");
  }
  return fault(
    "server-error",
    "Something went wrong inside Stopwise",
    where,
    "Try again; if it stays, start Stopwise again.",
  );
}

export const tooBig = (where: string): Fault =>
  fault("too-big", "The body is larger than is taken here", where, "Send less at a time.");
