/** How many may speak to the server, how long the slow are waited for, and how much waits for who does not read. */

import assert from "node:assert/strict";
import { mkdtempSync, rmSync } from "node:fs";
import { connect, type Socket } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, test } from "node:test";
import WebSocket from "ws";
import { LinkClient, until } from "../../test/link-client.ts";
import { expectOk } from "../units/index.ts";
import { documentName, type RunningServer, startServer } from "./index.ts";

const root = mkdtempSync(join(tmpdir(), "stopwise-limits-"));
after(() => rmSync(root, { recursive: true, force: true }));

let made = 0;
const newId = (): string => `l${made++}`;
const begin = async (patienceMs?: number): Promise<RunningServer> =>
  expectOk(
    await startServer({
      dataDir: join(root, newId()),
      port: 0,
      webDir: join(root, "none"),
      seedDemo: true,
      now: () => new Date(),
      newId,
      ...(patienceMs === undefined ? {} : { patienceMs }),
    }),
  );

/** A connection that sends this much, and what came back when the server closed it. */
interface Line {
  readonly socket: Socket;
  readonly closed: Promise<string>;
  got(): string;
}

function line(server: RunningServer, words: string): Line {
  const socket = connect(server.port, "127.0.0.1", () => socket.write(words));
  let got = "";
  socket.on("data", (part) => {
    got += String(part);
  });
  socket.on("error", () => {});
  return { socket, closed: new Promise((resolve) => socket.on("close", () => resolve(got))), got: () => got };
}

const link = (server: RunningServer): WebSocket => new WebSocket(`${server.address.replace("http", "ws")}/sync`);
const upgrade = (server: RunningServer): string =>
  `GET /sync HTTP/1.1\r\nHost: 127.0.0.1:${server.port}\r\nConnection: Upgrade\r\nUpgrade: websocket\r\n` +
  "Sec-WebSocket-Version: 13\r\nSec-WebSocket-Key: AAAAAAAAAAAAAAAAAAAAAA==\r\n\r\n";

test("who sends half a request, half a body or half a message, or nothing, is let go; others are served", async () => {
  const patienceMs = 800;
  const server = await begin(patienceMs);
  const start = performance.now();
  const post = `POST /api/setups HTTP/1.1\r\nHost: 127.0.0.1:${server.port}\r\nContent-Type: application/json\r\n`;
  const head = line(server, "GET /api/book HTTP/1.1\r\nHost: ");
  const body = line(server, `${post}Content-Length: 1000\r\n\r\n{"format":`);
  const half = line(server, `${upgrade(server)}\u0002`);
  const silent = link(server);
  const silentCode = new Promise<number>((resolve) => silent.on("close", resolve));
  for (const { closed } of [head, body]) {
    const answer = await closed;
    assert.match(answer, /^HTTP\/1\.1 408 /);
    assert.match(answer, /"code":"too-slow"/);
  }
  assert.equal(await silentCode, 4408);
  // The close frame's code in two bytes, most significant first: 4408 is 0x1138.
  await until(() => half.got().includes("\u00118"), "the end of the half message's link");
  half.socket.destroy();
  assert.ok(performance.now() - start < 10 * patienceMs);
  assert.equal((await fetch(`${server.address}/api/book`)).status, 200);
  await server.close();
});

test("the 513th connection is closed at once, and the next one after a place is free is served", async () => {
  const server = await begin();
  const lines = Array.from({ length: 512 }, () => line(server, ""));
  await until(() => lines.every(({ socket }) => socket.readyState === "open"), "512 connections");
  // The system connects before the server counts: once the last one is answered, all are counted.
  const answered = new Promise((resolve) => lines[511]?.socket.once("data", resolve));
  lines[511]?.socket.write(`GET /api/book HTTP/1.1\r\nHost: 127.0.0.1:${server.port}\r\n\r\n`);
  assert.match(String(await answered), /^HTTP\/1\.1 200 /);
  assert.equal(await line(server, "GET /api/book HTTP/1.1\r\n").closed, "");
  const leaving = lines.splice(0, 10);
  for (const { socket } of leaving) socket.destroy();
  await Promise.all(leaving.map(({ closed }) => closed));
  assert.ok(lines.every(({ socket }) => socket.readyState === "open"));
  const served = async (): Promise<boolean> => {
    const asked = `GET /api/book HTTP/1.1\r\nHost: 127.0.0.1:${server.port}\r\nConnection: close\r\n\r\n`;
    return (await line(server, asked).closed).startsWith("HTTP/1.1 200 ");
  };
  for (let tries = 0; !(await served()); tries++) assert.ok(tries < 100, "a place becomes free");
  for (const { socket } of lines) socket.destroy();
  await server.close();
});

test("the 257th link is turned away with 503, and comes in when another has left", async () => {
  const server = await begin();
  const links = Array.from({ length: 256 }, () => link(server));
  await Promise.all(links.map((socket) => new Promise((resolve) => socket.on("open", resolve))));
  const status = (): Promise<number> =>
    new Promise((resolve) => {
      const socket = link(server);
      socket.on("error", () => {});
      socket.on("unexpected-response", (_request, response) => resolve(response.statusCode ?? 0));
      socket.on("open", () => {
        socket.terminate();
        resolve(101);
      });
    });
  assert.equal(await status(), 503);
  assert.equal((await fetch(`${server.address}/api/book`)).status, 200);
  const left = new Promise((resolve) => links[0]?.on("close", resolve));
  links[0]?.close();
  await left;
  for (let tries = 0; (await status()) !== 101; tries++) assert.ok(tries < 100, "a place becomes free");
  for (const socket of links) socket.terminate();
  await server.close();
});

test("a link that asks without end and does not read is cut off before it fills the memory", async (t) => {
  const server = await begin();
  const name = documentName(server.store.identity, "setup.demo-choir");
  const named = Buffer.concat([Buffer.from([name.length]), Buffer.from(name)]);
  const greeting = Buffer.concat([named, Buffer.from([2, 0, 1, 0x74])]);
  const askAll = Buffer.concat([named, Buffer.from([0, 0, 1, 0])]);
  const deaf = link(server);
  let isGone = false;
  deaf.on("close", () => {
    isGone = true;
  });
  deaf.on("error", () => {});
  await new Promise((resolve) => deaf.on("open", resolve));
  deaf.send(greeting);
  deaf.pause();
  const start = process.memoryUsage().external;
  let most = 0;
  let asked = 0;
  while (!isGone && most < 150e6) {
    for (let i = 0; i < 100; i++) deaf.send(askAll, () => {});
    asked += 100;
    await new Promise((resolve) => setImmediate(resolve));
    most = Math.max(most, process.memoryUsage().external - start);
  }
  await until(() => isGone, "the end of the link");
  t.diagnostic(`asked ${asked} times; ${Math.round(most / 1e6)} MB waited at most`);
  assert.ok(most < 150e6, `${most} bytes`);
  const honest = new LinkClient(server.address, name);
  await honest.synced();
  honest.close();
  await server.close();
});
