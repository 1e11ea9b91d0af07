import assert from "node:assert/strict";
import { mkdirSync, mkdtempSync, readdirSync, rmSync, writeFileSync } from "node:fs";
import { request } from "node:http";
import { connect } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { sampleSetup, seeded } from "../../test/sample-book.ts";
import { demoKit, demoSetups } from "../setup/index.ts";
import { expectOk, type Fault } from "../units/index.ts";
import { type RunningServer, startServer } from "./index.ts";

const root = mkdtempSync(join(tmpdir(), "stopwise-http-"));
const web = join(root, "web");
let server: RunningServer;
let made = 0;
const newId = (): string => `h${made++}`;
const options = (name: string, port = 0): Parameters<typeof startServer>[0] => ({
  dataDir: join(root, name),
  port,
  webDir: web,
  seedDemo: true,
  now: () => new Date(),
  newId,
});

before(async () => {
  mkdirSync(join(web, "assets"), { recursive: true });
  writeFileSync(join(web, "index.html"), "<!doctype html><title>Stopwise</title>");
  writeFileSync(join(web, "sw.js"), "// worker");
  writeFileSync(join(web, "assets", "main-abc123.js"), "export {};");
  writeFileSync(join(root, "secret.txt"), "secret");
  server = expectOk(await startServer(options("book")));
});
after(async () => {
  await server.close();
  rmSync(root, { recursive: true, force: true });
});

interface Answer {
  readonly status: number;
  readonly headers: Readonly<Record<string, string | string[] | undefined>>;
  readonly text: string;
}

interface Ask {
  readonly method?: string;
  readonly headers?: Readonly<Record<string, string>>;
  readonly body?: string | Buffer;
}

/** Unlike fetch, sends the path and the headers as they are given. */
function ask(path: string, { method = "GET", headers = {}, body }: Ask = {}): Promise<Answer> {
  return new Promise((resolve, reject) => {
    const asked = request({ host: "127.0.0.1", port: server.port, path, method, headers }, (response) => {
      const parts: Buffer[] = [];
      response.on("data", (part: Buffer) => parts.push(part));
      response.on("end", () =>
        resolve({ status: response.statusCode ?? 0, headers: response.headers, text: Buffer.concat(parts).toString() }),
      );
    });
    asked.on("error", reject);
    asked.end(body);
  });
}

const json = { "content-type": "application/json" };
const post = (path: string, body: unknown, headers: Ask["headers"] = json): Promise<Answer> =>
  ask(path, { method: "POST", headers, body: typeof body === "string" ? body : JSON.stringify(body) });

/** Every failure reads like this and shows nothing of the machine. */
function checkFaults(answer: Answer, what: string): readonly Fault[] {
  const { faults } = JSON.parse(answer.text) as { faults: readonly Fault[] };
  assert.ok(faults.length > 0, what);
  for (const fault of faults) {
    assert.deepEqual(Object.keys(fault), ["code", "what", "where", "mend"], what);
    for (const text of [fault.code, fault.what, fault.mend]) assert.ok(text.length > 0, what);
  }
  assert.doesNotMatch(answer.text, /node_modules|\.ts:\d|at \w+ \(|\/tmp\//, what);
  return faults;
}

test("the book, its cards, its setups and its kit are read as they were seeded", async () => {
  const book = JSON.parse((await ask("/api/book")).text) as {
    id: string;
    generation: number;
    version: number;
    counts: object;
  };
  assert.deepEqual(book, { ...server.store.identity, version: 1, counts: { setups: demoSetups().length, trashed: 0 } });
  assert.deepEqual(JSON.parse((await ask("/api/kit")).text), demoKit());
  const cards = JSON.parse((await ask("/api/cards?text=choir&role=main&role=hair")).text) as {
    total: number;
    cards: { id: string }[];
  };
  assert.deepEqual([cards.total, cards.cards[0]?.id], [1, "demo-choir"]);
  assert.deepEqual(
    JSON.parse((await ask("/api/setups/demo-choir")).text),
    demoSetups().find((setup) => setup.id === "demo-choir"),
  );
});

test("a setup is made, read, thrown away and taken back", async () => {
  const setup = sampleSetup(seeded(1), "made-here");
  const answer = await post("/api/setups", setup);
  assert.equal(answer.status, 201, answer.text);
  const { id, generation } = server.store.identity;
  assert.deepEqual(JSON.parse(answer.text), { id: "made-here", document: `${id}.${generation}.setup.made-here` });
  assert.equal((await ask("/api/setups/made-here", { method: "DELETE" })).status, 200);
  assert.equal((JSON.parse((await ask("/api/trash")).text) as { total: number }).total, 1);
  assert.equal((await ask("/api/setups/made-here/restore", { method: "POST" })).status, 200);
  assert.equal((await ask("/api/setups/made-here")).status, 200);
});

test("export and import over HTTP", async () => {
  const exported = await ask("/api/export");
  const other = expectOk(await startServer({ ...options("other"), seedDemo: false }));
  const response = await fetch(`${other.address}/api/import`, { method: "POST", headers: json, body: exported.text });
  assert.equal(response.status, 200);
  assert.deepEqual(
    JSON.parse(await (await fetch(`${other.address}/api/export`)).text()).setups,
    JSON.parse(exported.text).setups,
  );
  await other.close();
});

test("only this machine's own page is served: other hosts and origins are refused, localhost is sent on", async () => {
  const { port } = server;
  const moved = await ask("/setup/x/plan?why=1", { headers: { host: `localhost:${port}` } });
  assert.deepEqual([moved.status, moved.headers.location], [307, `http://127.0.0.1:${port}/setup/x/plan?why=1`]);
  const shut: readonly (readonly [string, Ask])[] = [
    ["a rebound name", { headers: { host: "rebound.test" } }],
    ["a rebound name with the port", { headers: { host: `rebound.test:${port}` } }],
    ["the address without its port", { headers: { host: "127.0.0.1" } }],
    ["the any address", { headers: { host: `0.0.0.0:${port}` } }],
    ["a host with a user", { headers: { host: `a@127.0.0.1:${port}` } }],
    ["another site's origin", { headers: { origin: "http://example.test" } }],
    ["no origin at all, in so many letters", { headers: { origin: "null" } }],
    ["the page under localhost", { headers: { origin: `http://localhost:${port}` } }],
    ["another port", { headers: { origin: `http://127.0.0.1:${port + 1}` } }],
    [
      "a request that the browser marks as another site's",
      { headers: { "sec-fetch-site": "cross-site", "sec-fetch-mode": "no-cors" } },
    ],
    ["a posting to localhost", { method: "POST", headers: { ...json, host: `localhost:${port}` }, body: "{}" }],
  ];
  for (const [what, how] of shut) {
    const answer = await ask("/api/book", how);
    assert.equal(answer.status, 403, what);
    checkFaults(answer, what);
  }
  assert.equal(
    (await ask("/api/book", { headers: { origin: server.address, "sec-fetch-site": "same-origin" } })).status,
    200,
  );
  assert.equal(
    (await ask("/", { headers: { "sec-fetch-site": "cross-site", "sec-fetch-mode": "navigate" } })).status,
    200,
  );
});

test("46 requests that nobody should send are answered with faults, and the book stays as it is", async () => {
  const before = expectOk(server.store.exportBook());
  const setup = sampleSetup(seeded(2), "crafted");
  const deep = `${"[".repeat(5000)}${"]".repeat(5000)}`;
  const del = { method: "DELETE" };
  const cases: readonly (readonly [string, number, Promise<Answer>])[] = [
    ["no JSON", 400, post("/api/setups", "{")],
    ["nothing", 400, post("/api/setups", "")],
    ["a word", 400, post("/api/setups", '"setup"')],
    ["a list", 400, post("/api/setups", [])],
    ["null", 400, post("/api/setups", "null")],
    ["an empty object", 400, post("/api/setups", {})],
    ["another format", 400, post("/api/setups", { ...setup, format: "stopwise-kit" })],
    ["a newer version", 400, post("/api/setups", { ...setup, version: 2 })],
    ["no version", 400, post("/api/setups", { ...setup, version: "1" })],
    ["an unsafe id", 400, post("/api/setups", { ...setup, id: "../../etc/passwd" })],
    ["an id of the language", 400, post("/api/setups", { ...setup, id: "__proto__" })],
    ["lights that are a number", 400, post("/api/setups", { ...setup, lights: 4 })],
    ["a title with a control character", 400, post("/api/setups", { ...setup, title: "a\u0000b" })],
    ["a poisoned prototype", 400, post("/api/setups", `{"__proto__":{"polluted":1},"format":"stopwise-setup"}`)],
    ["deep nesting", 400, post("/api/setups", deep)],
    [
      "an infinite number",
      400,
      post("/api/setups", JSON.stringify(setup).replace('"apertureAv":5', '"apertureAv":1e999')),
    ],
    ["an id that is taken", 409, post("/api/setups", { ...setup, id: "demo-choir" })],
    ["text for JSON", 415, post("/api/setups", "hello", { "content-type": "text/plain" })],
    ["a form", 415, post("/api/setups", "a=1", { "content-type": "application/x-www-form-urlencoded" })],
    ["no type", 415, post("/api/setups", "{}", {})],
    ["too much", 413, post("/api/setups", `"${"x".repeat(9 * 1024 * 1024)}"`)],
    [
      "half of UTF-8",
      400,
      ask("/api/setups", { method: "POST", headers: json, body: Buffer.from([0x7b, 0xff, 0xfe, 0x7d]) }),
    ],
    ["an import that is no book", 400, post("/api/import", setup)],
    [
      "an import with a bad setup",
      400,
      post("/api/import", {
        format: "stopwise-book",
        version: 1,
        setups: [setup, { ...setup, id: "b", lights: {} }],
        kits: [],
      }),
    ],
    ["an import of version 9", 400, post("/api/import", { format: "stopwise-book", version: 9, setups: [], kits: [] })],
    ["a restore of JSON", 415, post("/api/restore", {})],
    ["a restore of noise", 400, post("/api/restore", "noise", { "content-type": "application/octet-stream" })],
    ["a restore of nothing", 400, post("/api/restore", "", { "content-type": "application/octet-stream" })],
    ["a setup that is not there", 404, ask("/api/setups/nobody")],
    ["a way out of the folder in an id", 404, ask("/api/setups/..%2F..%2Fetc%2Fpasswd")],
    ["a long id", 400, ask(`/api/setups/${"a".repeat(500)}`)],
    ["a broken escape", 400, ask("/api/setups/%E0%A4%A")],
    ["deleting what is not there", 404, ask("/api/setups/nobody", del)],
    ["deleting the kit", 404, ask("/api/kit", del)],
    ["taking back what is not there", 404, ask("/api/setups/nobody/restore", { method: "POST" })],
    ["no such request", 404, ask("/api/secrets")],
    ["the root of the requests", 404, ask("/api")],
    ["an odd method", 404, ask("/api/book", { method: "PATCH" })],
    ["lights by name", 400, ask("/api/cards?lights=three")],
    ["lights below none", 400, ask("/api/cards?lights=-1")],
    ["a filter that is not there", 400, ask("/api/cards?order=random")],
    ["a filter of the language", 400, ask("/api/cards?__proto__=1&constructor=2")],
    ["a role that is not there", 400, ask("/api/cards?role=sun")],
    ["more cards than a page", 400, ask("/api/cards?limit=100000")],
    ["a statement for a number", 400, ask("/api/cards?mainToFill=1%20OR%201%3D1")],
    ["a text without end", 400, ask(`/api/cards?text=${"x".repeat(300)}`)],
  ];
  assert.equal(cases.length, 46);
  for (const [what, status, answer] of cases) {
    const got = await answer;
    assert.equal(got.status, status, `${what}: ${got.text.slice(0, 300)}`);
    checkFaults(got, what);
  }
  assert.deepEqual(expectOk(server.store.exportBook()), before);
  assert.equal(({} as { polluted?: number }).polluted, undefined);
  assert.deepEqual(
    readdirSync(server.store.dataDir).filter((name) => /incoming|outgoing/.test(name)),
    [],
  );
});

test("the page's files come with their types, how long they are kept, and strict headers", async () => {
  const page = await ask("/setup/demo-choir/plan");
  assert.equal(page.text, "<!doctype html><title>Stopwise</title>");
  assert.equal(page.headers["cache-control"], "no-store");
  assert.match(String(page.headers["content-type"]), /^text\/html/);
  const policy = String(page.headers["content-security-policy"]);
  assert.match(policy, /script-src 'self';/);
  assert.doesNotMatch(policy, /unsafe-eval|script-src[^;]*unsafe/);
  assert.equal(page.headers["x-content-type-options"], "nosniff");
  assert.equal(page.headers["referrer-policy"], "no-referrer");
  assert.equal(page.headers["cross-origin-opener-policy"], "same-origin");
  const script = await ask("/assets/main-abc123.js");
  assert.equal(script.headers["cache-control"], "public, max-age=31536000, immutable");
  assert.match(String(script.headers["content-type"]), /^text\/javascript/);
  assert.equal((await ask("/sw.js")).headers["cache-control"], "no-cache");
  assert.equal((await ask("/api/book")).headers["cache-control"], "no-store");
  const head = await ask("/", { method: "HEAD" });
  assert.deepEqual([head.status, head.text, head.headers["content-length"]], [200, "", String(page.text.length)]);
});

test("nothing outside the page's folder can be named", async () => {
  const ways = [
    "/../secret.txt",
    "/assets/../../secret.txt",
    "/%2e%2e/secret.txt",
    "/..%2fsecret.txt",
    "/..%5csecret.txt",
    "/..\\secret.txt",
    "//etc/passwd.txt",
    "/assets/..;/secret.txt",
    "/.hidden.txt",
    "/assets/%00.js",
    "/secret.txt%00.js",
    "/missing.js",
  ];
  for (const path of ways) {
    const answer = await ask(path);
    assert.equal(answer.status, 404, path);
    checkFaults(answer, path);
    assert.doesNotMatch(answer.text, /^secret$/);
  }
  assert.equal((await ask("/index.html", { method: "POST", headers: json, body: "{}" })).status, 404);
});

const raw = (text: string): Promise<string> =>
  new Promise((resolve, reject) => {
    const socket = connect(server.port, "127.0.0.1", () => socket.write(text));
    let got = "";
    socket.on("data", (part) => {
      got += part.toString();
    });
    socket.on("close", () => resolve(got));
    socket.on("error", reject);
  });

test("what is no HTTP, and an address of another server, get a fault or a closed line", async () => {
  const noise = await raw("HELLO\r\n\r\n");
  assert.match(noise, /^HTTP\/1\.1 400/);
  assert.ok((JSON.parse(noise.split("\r\n\r\n")[1] ?? "") as { faults: Fault[] }).faults.length === 1);
  const proxy = await raw(
    "GET http://example.test/api/book HTTP/1.1\r\nHost: example.test\r\nConnection: close\r\n\r\n",
  );
  assert.match(proxy, /^HTTP\/1\.1 403/);
  assert.match(await raw("GET /api/book HTTP/1.1\r\nHost: \r\nConnection: close\r\n\r\n"), /^HTTP\/1\.1 4\d\d/);
  assert.match(await raw("GET /api/book HTTP/1.0\r\n\r\n"), /^HTTP\/1\.1 403/);
  const localhost = await raw(
    `GET http://example.test/ HTTP/1.1\r\nHost: localhost:${server.port}\r\nConnection: close\r\n\r\n`,
  );
  assert.match(localhost, /^HTTP\/1\.1 403/);
  assert.match(
    await raw(`GET / HTTP/1.1\r\nHost: 127.0.0.1:${server.port}\r\nx: ${"y".repeat(100_000)}\r\n\r\n`),
    /^HTTP\/1\.1 4\d\d/,
  );
});

test("a taken port, a held folder and a page that is not built are said in words", async () => {
  const taken = await startServer(options("taken", server.port));
  assert.deepEqual(taken.ok ? [] : taken.faults.map((fault) => fault.code), ["port-taken"]);
  const free = expectOk(await startServer(options("taken")));
  await free.close();
  const held = await startServer(options("book"));
  assert.deepEqual(held.ok ? [] : held.faults.map((fault) => fault.code), ["book-open-elsewhere"]);
  const bare = expectOk(await startServer({ ...options("bare"), webDir: join(root, "nowhere") }));
  assert.equal((await fetch(bare.address)).status, 503);
  await bare.close();
});

test("the server listens on the loopback address alone", async () => {
  await assert.rejects(fetch(`http://[::1]:${server.port}/api/book`));
});

test("closing twice is closing once, and the folder is free afterwards", async () => {
  const one = expectOk(await startServer(options("twice")));
  await Promise.all([one.close(), one.close()]);
  const two = expectOk(await startServer(options("twice")));
  assert.equal(two.store.info().counts.setups, demoSetups().length);
  await two.close();
});
