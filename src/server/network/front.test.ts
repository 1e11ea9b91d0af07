import assert from "node:assert/strict";
import { mkdtempSync, rmSync } from "node:fs";
import { connect, createServer, type Socket } from "node:net";
import { networkInterfaces, tmpdir } from "node:os";
import { join } from "node:path";
import { after, type TestContext, test } from "node:test";
import { connect as connectTls } from "node:tls";
import makeMdns from "multicast-dns";
import { until } from "../../../test/link-client.ts";
import { letIn, Visitor } from "../../../test/network-visitor.ts";
import { expectOk } from "../../units/index.ts";
import { type RunningServer, startServer } from "../index.ts";
import { isServed } from "./addresses.ts";
import { LocalName } from "./local-name.ts";
import type { NetworkOptions } from "./network.ts";

const root = mkdtempSync(join(tmpdir(), "stopwise-front-"));
after(() => rmSync(root, { recursive: true, force: true }));
const lan = "127.0.0.2";
let made = 0;

async function begin(t: TestContext, network: NetworkOptions, patienceMs = 120_000): Promise<RunningServer> {
  const server = expectOk(
    await startServer({
      ...{ dataDir: join(root, `book-${made++}`), port: 0, webDir: join(root, "none"), seedDemo: true },
      ...{ now: () => new Date(), newId: () => `f${made++}`, patienceMs },
      network: { port: 0, mdnsPort: null, ...network },
    }),
  );
  t.after(() => server.close());
  return server;
}

/** How long until the other side closes. */
const closedAfter = (socket: Socket): Promise<number> => {
  const start = performance.now();
  socket.on("error", () => undefined);
  socket.resume();
  return new Promise((resolve) => socket.on("close", () => resolve(performance.now() - start)));
};

test("who says nothing, half a handshake or half a request is let go; others are served meanwhile", async (t) => {
  const server = await begin(t, { addresses: () => [lan] }, 800);
  const { port } = expectOk(await server.network.switchOn("secure"));
  const silent = connect(port, lan);
  const half = connect(port, lan, () => half.write(Buffer.from([22, 3, 1, 2, 0, 1])));
  const slow = connectTls({ host: lan, port, rejectUnauthorized: false }, () =>
    slow.write("GET /pair HTTP/1.1\r\nHost: x"),
  );
  const slowPlain = connect(port, lan, () => slowPlain.write("GET /trust HTTP/1.1\r\nHo"));
  const closing = Promise.all([closedAfter(silent), closedAfter(half), closedAfter(slow)]);
  assert.equal((await new Visitor(server, lan).ask("/pair")).status, 200);
  for (const ms of await closing) assert.ok(ms < 4000, `${ms} ms`);
  slowPlain.destroy();
});

test("one address takes 48 places and no more; the others are free for the rest", async (t) => {
  const server = await begin(t, { addresses: () => [lan] });
  const { port } = expectOk(await server.network.switchOn("secure"));
  const open = Array.from({ length: 48 }, () => connect({ host: lan, port, localAddress: "127.0.0.50" }));
  await Promise.all(open.map((socket) => new Promise((resolve) => socket.once("connect", resolve))));
  const next = connect({ host: lan, port, localAddress: "127.0.0.50" });
  assert.ok((await closedAfter(next)) < 2000);
  assert.equal((await new Visitor(server, lan, { from: "127.0.0.51" }).ask("/pair")).status, 200);
  for (const socket of open) socket.destroy();
});

test("a stream that a device keeps open ends when the device is put out", async (t) => {
  const server = await begin(t, { addresses: () => [lan] });
  expectOk(await server.network.switchOn("secure"));
  const visitor = new Visitor(server, lan);
  const id = await letIn(server, visitor, "look");
  const stream = visitor.ask("/api/setups/demo-choir/frames/events");
  const cut = assert.rejects(stream);
  await new Promise((resolve) => setTimeout(resolve, 200));
  const start = performance.now();
  assert.equal((await fetch(`${server.address}/api/devices/${id}`, { method: "DELETE" })).status, 200);
  await cut;
  assert.ok(performance.now() - start < 1000);
});

test("one device has 24 links and no more", async (t) => {
  const server = await begin(t, { addresses: () => [lan] });
  expectOk(await server.network.switchOn("secure"));
  const visitor = new Visitor(server, lan);
  await letIn(server, visitor, "look");
  const open = Array.from({ length: 24 }, () => visitor.socket());
  await Promise.all(open.map((socket) => new Promise((resolve) => socket.once("open", resolve))));
  assert.equal(await visitor.handshake(), 503);
  const other = new Visitor(server, lan);
  await letIn(server, other, "look");
  assert.equal(await other.handshake(), 101);
  for (const socket of open) socket.terminate();
});

test("bodies too large, bytes that are no HTTP and headers without end get an answer or a closed line", async (t) => {
  const server = await begin(t, { addresses: () => [lan] });
  const { port } = expectOk(await server.network.switchOn("secure"));
  const visitor = new Visitor(server, lan);
  const json = { "content-type": "application/json" };
  const large = await visitor.ask("/pair", { method: "POST", headers: json, body: "x".repeat(3000) });
  assert.equal(large.status, 413);
  const longest = await visitor.ask("/pair", { headers: { "x-long": "y".repeat(20_000) } });
  assert.equal(longest.status, 400);
  await letIn(server, visitor, "edit");
  const setup = await visitor.ask("/api/setups", { method: "POST", headers: json, body: `"${"z".repeat(9_000_000)}"` });
  assert.equal(setup.status, 413);
  for (const bytes of [Buffer.alloc(500, 0), Buffer.from("SSH-2.0-x\r\n\r\n"), Buffer.alloc(300, 255)]) {
    const socket = connect(port, lan, () => socket.write(bytes));
    assert.ok((await closedAfter(socket)) < 2000);
  }
  assert.equal((await visitor.ask("/api/book")).status, 200);
});

test("plain HTTP on the encrypted port tells how to trust, gives the certificate, and sends all else on", async (t) => {
  const server = await begin(t, { addresses: () => [lan] });
  const { port, name, fingerprint } = expectOk(await server.network.switchOn("secure"));
  const ask = (path: string, init: RequestInit = {}): Promise<Response> =>
    fetch(`http://${lan}:${port}${path}`, { redirect: "manual", ...init });
  const trust = await ask("/trust");
  assert.equal(trust.status, 200);
  const words = await trust.text();
  assert.ok(words.includes(String(name)) && words.includes(String(fingerprint)));
  assert.doesNotMatch(words, /<script/);
  assert.equal((await ask("/authority.crt")).headers.get("content-type"), "application/x-x509-ca-cert");
  for (const path of ["/", "/api/book", "/api/session", "/sync", "/pair"]) {
    const answer = await ask(path);
    assert.deepEqual([answer.status, answer.headers.get("location")], [307, `https://${lan}:${port}/pair`], path);
    assert.equal(await answer.text(), "");
  }
  assert.equal((await ask("/pair", { method: "POST", body: "code=x" })).status, 403);
});

test("a taken port, and a computer on no network, are said in words, and nothing stays open", async (t) => {
  const holder = createServer();
  await new Promise<void>((resolve) => holder.listen(0, lan, resolve));
  t.after(() => holder.close());
  const { port } = holder.address() as { port: number };
  const server = await begin(t, { addresses: () => [lan], port });
  const taken = await server.network.switchOn("secure");
  assert.equal(taken.ok ? null : taken.faults[0]?.code, "port-taken");
  assert.match(taken.ok ? "" : (taken.faults[0]?.mend ?? ""), /--network-port/);
  assert.equal(server.network.state().on, null);
  const alone = await begin(t, { addresses: () => [] });
  const off = await alone.network.switchOn("secure");
  assert.equal(off.ok ? null : off.faults[0]?.code, "no-network");
  assert.match(off.ok ? "" : (off.faults[0]?.mend ?? ""), /hotspot/);
});

test("addresses that come and go are followed while it is on", async (t) => {
  let addresses: readonly string[] = [lan];
  const server = await begin(t, { addresses: () => addresses, lookEveryMs: 20 });
  expectOk(await server.network.switchOn("secure"));
  const first = new Visitor(server, lan);
  await letIn(server, first, "look");
  addresses = [lan, "127.0.0.3"];
  await until(() => server.network.state().origins.length === 3, "the second address");
  assert.equal((await new Visitor(server, "127.0.0.3").ask("/pair")).status, 200);
  addresses = ["127.0.0.3"];
  await until(() => server.network.state().origins.length === 2, "the first one to be gone");
  await assert.rejects(first.ask("/api/book"));
  addresses = [];
  await until(() => server.network.state().faults[0]?.code === "no-network", "the words for no network");
  addresses = [lan];
  await until(() => server.network.state().faults.length === 0, "the network to be back");
  assert.equal((await first.ask("/api/book")).status, 200, "the device is still let in");
});

test("only private, shared and link-local addresses are served", () => {
  for (const yes of [
    "10.0.0.1",
    "172.16.0.1",
    "172.31.255.254",
    "192.168.43.1",
    "100.64.0.1",
    "100.127.1.1",
    "169.254.1.1",
  ]) {
    assert.equal(isServed(yes), true, yes);
  }
  for (const no of [
    "8.8.8.8",
    "127.0.0.1",
    "172.15.0.1",
    "172.32.0.1",
    "192.169.0.1",
    "100.128.0.1",
    "0.0.0.0",
    "1.2.3",
    "10.0.0.01",
    "::1",
  ]) {
    assert.equal(isServed(no), false, no);
  }
});

test("the .local name is answered by multicast DNS while it is on, and no other name", async (t) => {
  const address = Object.values(networkInterfaces())
    .flatMap((list) => list ?? [])
    .find(({ family, internal }) => family === "IPv4" && !internal)?.address;
  if (address === undefined) return t.skip("this machine has no network interface for multicast");
  const port = 20_000 + Math.floor(Math.random() * 20_000);
  const name = new LocalName("stopwise-abc234.local", { port });
  const asker = makeMdns({ interface: address, bind: "0.0.0.0", port } as Parameters<typeof makeMdns>[0]);
  t.after(() => asker.destroy());
  asker.on("warning", () => undefined);
  const heard: { name: string; ttl: number; data: unknown }[] = [];
  asker.on("response", ({ answers }) => {
    for (const one of answers ?? [])
      if (one.type === "A") heard.push({ name: one.name, ttl: one.ttl ?? 0, data: one.data });
  });
  await new Promise<void>((resolve) => asker.once("ready", resolve));
  name.follow([address]);
  try {
    await until(() => heard.length > 0, "the first announcement", 3000);
  } catch {
    name.close();
    return t.skip("multicast does not come back on this machine");
  }
  heard.length = 0;
  asker.query("other.local", "A");
  asker.query("STOPWISE-abc234.local", "A");
  await until(() => heard.length > 0, "the answer");
  assert.deepEqual(heard[0], { name: "stopwise-abc234.local", ttl: 120, data: address });
  assert.ok(heard.every((one) => one.name === "stopwise-abc234.local"));
  heard.length = 0;
  name.close();
  await until(() => heard.some((one) => one.ttl === 0), "the good-bye");
  asker.query("stopwise-abc234.local", "A");
  await new Promise((resolve) => setTimeout(resolve, 200));
  assert.ok(
    heard.every((one) => one.ttl === 0),
    "silent when off",
  );
  return undefined;
});
