import assert from "node:assert/strict";
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { letIn, Visitor } from "../../../test/network-visitor.ts";
import { expectOk } from "../../units/index.ts";
import { type RunningServer, startServer } from "../index.ts";

const root = mkdtempSync(join(tmpdir(), "stopwise-network-"));
const web = join(root, "web");
let made = 0;
const newId = (): string => `w${made++}`;
let nowMs = Date.now();
const lan = "127.0.0.2";

const begin = async (name: string): Promise<RunningServer> =>
  expectOk(
    await startServer({
      ...{ dataDir: join(root, name), port: 0, webDir: web, seedDemo: true, newId },
      now: () => new Date(nowMs),
      network: { port: 0, addresses: () => [lan], mdnsPort: null },
    }),
  );

let server: RunningServer;
before(async () => {
  mkdirSync(join(web, "assets"), { recursive: true });
  writeFileSync(join(web, "index.html"), "<!doctype html><title>THE PAGE</title>");
  writeFileSync(join(web, "sw.js"), "// THE PAGE's worker");
  writeFileSync(join(web, "assets", "main-abc123.js"), "// THE PAGE's script");
  server = await begin("book");
  expectOk(await server.network.switchOn("secure"));
});
after(async () => {
  await server.close();
  rmSync(root, { recursive: true, force: true });
});

/** What no stranger may ever read: words of the book, of the page and of this machine. */
const secrets = /[Cc]hoir|demo-|octa|THE PAGE|stopwise-setup|"generation"|[Ss][Qq][Ll]ite|PRIVATE KEY/;

/** One path for a route's pattern. */
const pathOf = (pattern: string): string => pattern.replace(":id", "demo-choir").replace("*", "main.js");

test("a stranger gets data from none of the app's own routes, whatever the method", async () => {
  const visitor = new Visitor(server, lan);
  const routes = server.network.routes();
  assert.ok(routes.length > 15, `${routes.length} routes`);
  const open = routes.filter((route) => route.remote === "stranger").map((route) => `${route.method} ${route.path}`);
  assert.deepEqual(open.filter((name) => !name.startsWith("HEAD")).sort(), [
    "GET /api/session",
    "GET /authority.crt",
    "GET /pair",
    "GET /pair.css",
    "GET /trust",
    "POST /pair",
  ]);
  for (const { method, path, remote } of routes) {
    const body = method === "POST" || method === "PATCH" ? "{}" : undefined;
    const headers = body === undefined ? {} : { "content-type": "application/json" };
    const answer = await visitor.ask(pathOf(path), { method, headers, ...(body === undefined ? {} : { body }) });
    assert.doesNotMatch(answer.text, secrets, `${method} ${path}`);
    if (remote !== "stranger") assert.equal(answer.status, 401, `${method} ${path}: ${answer.text}`);
  }
  assert.equal((JSON.parse((await visitor.ask("/api/session")).text) as { kind: string }).kind, "stranger");
});

test("a stranger gets no file of the page and no link; a page asked for leads to the form", async () => {
  const visitor = new Visitor(server, lan);
  for (const path of ["/sw.js", "/assets/main-abc123.js", "/precache.json", "/api/nothing", "/x/y", "/index.html"]) {
    const answer = await visitor.ask(path);
    assert.equal(answer.status, 401, path);
    assert.doesNotMatch(answer.text, secrets, path);
  }
  for (const path of ["/../../etc/passwd", "/%2e%2e/%2e%2e/etc/passwd", "//etc/passwd", "/..\\..\\book.sqlite"]) {
    const answer = await visitor.ask(path);
    assert.ok(answer.status >= 400, path);
    assert.doesNotMatch(answer.text, /root:|SQLite/, path);
  }
  const page = await visitor.ask("/setup/demo-choir/plan", { headers: { accept: "text/html" } });
  assert.deepEqual([page.status, page.headers.location], [303, "/pair"]);
  assert.equal(await visitor.handshake(), 401);
  assert.equal(await visitor.handshake("/sync", { cookie: `__Host-stopwise=${"A".repeat(43)}` }), 401);
  assert.equal(await visitor.handshake("/other"), 401);
});

test("other names, other origins and other sites' requests are refused on the network side too", async () => {
  const visitor = new Visitor(server, lan);
  await letIn(server, visitor, "edit");
  const { origin, port, host } = visitor;
  assert.equal((await visitor.ask("/api/book")).status, 200);
  const { origins } = server.network.state();
  assert.deepEqual(origins, [origin, `https://${lan}:${port}`]);
  const shut: readonly (readonly [string, Record<string, string>])[] = [
    ["a rebound name", { host: `rebound.test:${port}` }],
    ["the loopback page's host", { host: `127.0.0.1:${server.port}` }],
    ["the name without its port", { host: host.replace(/:\d+$/, "") }],
    ["a name that ends like ours", { host: `x${host}` }],
    ["another site's origin", { origin: "https://example.test" }],
    ["no origin, in so many letters", { origin: "null" }],
    ["our own page by its other name", { origin: `https://${lan}:${port}` }],
    ["our name without encryption", { origin: origin.replace("https", "http") }],
    ["a picture on another site", { "sec-fetch-site": "cross-site", "sec-fetch-mode": "no-cors" }],
    [
      "a frame on another site",
      { "sec-fetch-site": "cross-site", "sec-fetch-mode": "navigate", "sec-fetch-dest": "iframe" },
    ],
  ];
  for (const [what, headers] of shut) {
    assert.equal((await visitor.ask("/api/book", { headers })).status, 403, what);
    assert.equal(await visitor.handshake("/sync", headers), 403, what);
  }
  const bare = await visitor.ask("/api/setups/demo-choir", {
    method: "DELETE",
    headers: { origin: "https://example.test" },
  });
  assert.equal(bare.status, 403);
  assert.equal(await visitor.handshake(), 101);
});

test("whatever changes something must carry our own origin, also where the browser sends none", async () => {
  const visitor = new Visitor(server, lan);
  await letIn(server, visitor, "edit");
  for (const [method, path] of [
    ["POST", "/api/setups"],
    ["DELETE", "/api/setups/demo-choir"],
    ["DELETE", "/api/session"],
  ] as const) {
    const headers = { host: visitor.host, cookie: visitor.cookie, origin: "" };
    const answer = await visitor.ask(path, { method, headers, body: "" });
    assert.equal(answer.status, 403, path);
  }
  assert.equal((await visitor.ask("/api/setups/demo-choir")).status, 200);
});

test("each permission opens its own routes and no other; what is for this machine stays shut to all", async () => {
  const rank = { look: 0, meter: 1, edit: 2 };
  for (const permission of ["look", "meter", "edit"] as const) {
    const visitor = new Visitor(server, lan);
    await letIn(server, visitor, permission);
    for (const { method, path, remote } of server.network.routes()) {
      if (remote === "stranger" || (method === "DELETE" && path === "/api/session")) continue;
      const target = pathOf(path).replace("demo-choir", "no-such-setup");
      const headers = method === "POST" ? { "content-type": "application/json" } : {};
      const answer = await visitor.ask(target, { method, headers, ...(method === "POST" ? { body: "{}" } : {}) });
      const may = remote !== null && rank[permission] >= rank[remote];
      assert.equal(answer.status === 403, !may, `${permission}: ${method} ${path} → ${answer.status}`);
    }
    for (const path of ["/api/network", "/api/devices", "/api/network/code"]) {
      assert.equal((await visitor.ask(path)).status, 404, path);
    }
    assert.equal((await visitor.post("/api/network/code", { permission: "edit" })).status, 404);
  }
  const closed = server.network
    .routes()
    .filter((route) => route.remote === null)
    .map((route) => route.path);
  for (const path of ["/api/backup", "/api/restore", "/api/import", "/api/export"])
    assert.ok(closed.includes(path), path);
});

test("a code lets one device in, once, within its two minutes", async () => {
  const [first, second] = [new Visitor(server, lan), new Visitor(server, lan)];
  const { words } = expectOk(server.network.newCode("look"));
  assert.equal((await first.pair(words.toUpperCase().replaceAll(" ", "  "))).status, 201);
  assert.equal((await second.pair(words)).status, 403, "replayed");
  const late = expectOk(server.network.newCode("look"));
  nowMs += 120_001;
  assert.equal((await second.pair(late.words)).status, 403, "too late");
  const [old, fresh] = [expectOk(server.network.newCode("look")), expectOk(server.network.newCode("look"))];
  assert.equal((await second.pair(old.words)).status, 403, "replaced by a newer one");
  assert.equal((await second.pair(fresh.words)).status, 201);
  assert.match(String(first.cookie), /^__Host-stopwise=[A-Za-z0-9_-]{43}$/);
  assert.notEqual(first.cookie, second.cookie);
});

test("guessing is slowed for an address and ends the code for all", async () => {
  nowMs += 120_000;
  const { words } = expectOk(server.network.newCode("edit"));
  const guesser = new Visitor(server, lan, { from: "127.0.0.66" });
  for (let i = 0; i < 5; i++) assert.equal((await guesser.pair(`wrong words number ${i}`)).status, 403);
  assert.equal((await guesser.pair("wrong again")).status, 429);
  assert.equal((await guesser.pair(words)).status, 429, "not even the right one");
  const honest = new Visitor(server, lan, { from: "127.0.0.67" });
  assert.equal((await honest.pair(words)).status, 201, "others are not kept out");
  const next = expectOk(server.network.newCode("edit"));
  for (let i = 0; i < 20; i++) {
    const other = new Visitor(server, lan, { from: `127.0.1.${i + 1}` });
    assert.equal((await other.pair("wrong words for all")).status, 403);
  }
  assert.equal(server.network.state().code, null);
  assert.equal((await new Visitor(server, lan, { from: "127.0.2.1" }).pair(next.words)).status, 403, "withdrawn");
});

test("a device that is put out is cut off within a second and refused from then on", async () => {
  const visitor = new Visitor(server, lan);
  const id = await letIn(server, visitor, "edit", "to be put out");
  const sockets = [visitor.socket(), visitor.socket()];
  await Promise.all(sockets.map((socket) => new Promise((resolve) => socket.once("open", resolve))));
  const closed = sockets.map(
    (socket) =>
      new Promise<readonly [number, string]>((resolve) =>
        socket.once("close", (code, why) => resolve([code, String(why)])),
      ),
  );
  const start = performance.now();
  const out = await fetch(`${server.address}/api/devices/${id}`, { method: "DELETE" });
  assert.equal(out.status, 200, await out.text());
  for (const [code, why] of await Promise.all(closed)) assert.deepEqual([code, why.split(":")[0]], [4403, "put-out"]);
  assert.ok(performance.now() - start < 1000, "within a second");
  assert.equal((await visitor.ask("/api/book")).status, 401);
  assert.equal(await visitor.handshake(), 401);
  const { devices } = (await (await fetch(`${server.address}/api/devices`)).json()) as { devices: { id: string }[] };
  assert.ok(!devices.some((device) => device.id === id));
});

test("a device that does not answer the good-bye is cut off all the same", async () => {
  const visitor = new Visitor(server, lan);
  const id = await letIn(server, visitor, "look");
  const socket = visitor.socket();
  await new Promise((resolve) => socket.once("open", resolve));
  // Reads nothing more, so the close is never answered.
  (socket as unknown as { _socket: { pause(): void } })._socket.pause();
  const start = performance.now();
  await fetch(`${server.address}/api/devices/${id}`, { method: "DELETE" });
  const links = (): Promise<number> => visitor.handshake();
  assert.equal(await links(), 401);
  (socket as unknown as { _socket: { resume(): void } })._socket.resume();
  await new Promise((resolve) => socket.once("close", resolve));
  assert.ok(performance.now() - start < 1000);
});

test("devices are listed, renamed and given another permission, which holds from the next request on", async () => {
  const visitor = new Visitor(server, lan);
  const id = await letIn(server, visitor, "look", "  phone\nof the <b>assistant</b> ");
  const change = (body: object): Promise<Response> =>
    fetch(`${server.address}/api/devices/${id}`, {
      method: "PATCH",
      headers: { "content-type": "application/json" },
      body: JSON.stringify(body),
    });
  const { devices } = (await (await fetch(`${server.address}/api/devices`)).json()) as {
    devices: Record<string, unknown>[];
  };
  const [listed] = devices.filter((device) => device.id === id);
  assert.deepEqual([listed?.name, listed?.permission, listed?.plain], ["phone of the <b>assistant</b>", "look", false]);
  assert.ok(!JSON.stringify(devices).includes(visitor.cookie.split("=")[1] ?? "?"), "no secret in the list");
  assert.equal((await visitor.ask("/api/trash")).status, 403);
  assert.equal((await change({ permission: "edit" })).status, 200);
  assert.equal((await visitor.ask("/api/trash")).status, 200);
  assert.equal((await change({ name: "at the boom" })).status, 200);
  const session = JSON.parse((await visitor.ask("/api/session")).text) as {
    device: { name: string; permission: string };
  };
  assert.deepEqual([session.device.name, session.device.permission], ["at the boom", "edit"]);
  assert.equal((await change({ permission: "owner" })).status, 400);
  assert.equal((await change({ name: " " })).status, 400);
  assert.equal((await change({ name: "x".repeat(61) })).status, 400);
});

test("a device may leave by itself; one that stays away for a month is put out", async () => {
  const [leaver, stayer] = [new Visitor(server, lan), new Visitor(server, lan)];
  await letIn(server, leaver, "look");
  await letIn(server, stayer, "look");
  assert.equal((await leaver.ask("/api/session", { method: "DELETE" })).status, 200);
  assert.equal((await leaver.ask("/api/book")).status, 401);
  nowMs += 29 * 86_400_000;
  assert.equal((await stayer.ask("/api/book")).status, 200);
  nowMs += 29 * 86_400_000;
  assert.equal((await stayer.ask("/api/book")).status, 200, "each visit counts");
  nowMs += 31 * 86_400_000;
  assert.equal((await stayer.ask("/api/book")).status, 401);
});

test("the form works without a script, and shows what was typed as text", async () => {
  const visitor = new Visitor(server, lan);
  const { words } = expectOk(server.network.newCode("meter"));
  const form = await visitor.ask(`/pair?code=${words.replaceAll(" ", "-")}`);
  assert.ok(form.text.includes(`value="${words}"`));
  assert.doesNotMatch(form.text, /<script|style=|onclick/);
  const evil = await visitor.ask(`/pair?code=${encodeURIComponent('"><script>alert(1)</script>')}`);
  assert.doesNotMatch(evil.text, /<script/);
  const send = (body: string): ReturnType<Visitor["ask"]> =>
    visitor.ask("/pair", { method: "POST", headers: { "content-type": "application/x-www-form-urlencoded" }, body });
  const wrong = await send("code=not+these+words&name=phone");
  assert.deepEqual([wrong.status, wrong.text.includes("not the words")], [403, true]);
  assert.equal((await send(`code=x&name=${"y".repeat(4000)}`)).status, 413);
  const right = await send(`code=${words.replaceAll(" ", "+")}&name=phone`);
  assert.deepEqual([right.status, right.headers.location], [303, "/"]);
  assert.match(
    String(right.headers["set-cookie"]),
    /^__Host-stopwise=[\w-]{43}; Secure; Path=\/; HttpOnly; SameSite=Strict; Max-Age=\d+$/,
  );
});

test("plain HTTP is a session of its own kind: no name, no certificate, and neither cookie serves for the other", async (t) => {
  const other = await begin("plain");
  t.after(() => other.close());
  expectOk(await other.network.switchOn("plain"));
  assert.deepEqual(other.network.state().origins, [`http://${lan}:${other.network.state().port}`]);
  const visitor = new Visitor(other, lan);
  await letIn(other, visitor, "edit");
  assert.match(visitor.cookie, /^stopwise-plain=/);
  const session = JSON.parse((await visitor.ask("/api/session")).text) as { plain: boolean };
  assert.equal(session.plain, true, "said on every screen from this");
  for (const path of ["/trust", "/authority.crt"])
    assert.equal((await new Visitor(other, lan).ask(path)).status, 401, path);
  assert.equal(
    (await visitor.ask("/api/setups/demo-choir", { method: "DELETE", headers: { origin: "http://example.test" } }))
      .status,
    403,
  );
  assert.equal(await visitor.handshake(), 101);
  const secret = visitor.cookie.split("=")[1] ?? "";
  expectOk(await other.network.switchOn("secure"));
  const encrypted = new Visitor(other, lan);
  for (const name of ["__Host-stopwise", "stopwise-plain"]) {
    encrypted.cookie = `${name}=${secret}`;
    assert.equal((await encrypted.ask("/api/book")).status, 401, name);
  }
});

test("off: nothing listens, and a code cannot be made", async (t) => {
  const other = await begin("off");
  t.after(() => other.close());
  assert.equal(other.network.state().on, null);
  assert.equal(other.network.newCode("look").ok, false);
  expectOk(await other.network.switchOn("secure"));
  const visitor = new Visitor(other, lan);
  assert.equal((await visitor.ask("/pair")).status, 200);
  await other.network.switchOff();
  await assert.rejects(visitor.ask("/pair"), { code: "ECONNREFUSED" });
});
