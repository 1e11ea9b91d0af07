import assert from "node:assert/strict";
import {
  copyFileSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from "node:fs";
import { request } from "node:http";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, test } from "node:test";
import sharp from "sharp";
import { LARGEST_FILE, readProxy } from "../../files/index.ts";
import type { FrameCard, FrameFolder, FrameList } from "../../store/index.ts";
import { expectOk, type Fault } from "../../units/index.ts";
import { type RunningServer, startServer } from "../index.ts";

const root = mkdtempSync(join(tmpdir(), "stopwise-frames-http-"));
let server: RunningServer;
/** The first setup of the demo. */
let setupId = "";
let made = 0;
const start = async (name: string): Promise<RunningServer> =>
  expectOk(
    await startServer({
      ...{ dataDir: join(root, name), port: 0, webDir: join(root, "web"), seedDemo: true },
      ...{ now: () => new Date(), newId: () => `n${made++}` },
    }),
  );

/** A smooth picture with a level of its own, as a camera might give it. */
async function jpeg(level: number, width = 64, height = 48): Promise<Buffer> {
  const pixels = Buffer.alloc(3 * width * height);
  for (let i = 0; i < pixels.length; i++) pixels[i] = Math.min(255, level + ((i / 3) % width));
  return sharp(pixels, { raw: { width, height, channels: 3 } })
    .jpeg({ quality: 95 })
    .toBuffer();
}

before(async () => {
  server = await start("book");
  setupId = expectOk(server.store.cards({})).cards[0]?.id ?? "";
});
after(async () => {
  await server.close();
  rmSync(root, { recursive: true, force: true });
});

const bytes = { "content-type": "application/octet-stream" };
const upload = (name: string, body: Uint8Array, headers: Record<string, string> = bytes): Promise<Response> =>
  fetch(`${server.address}/api/setups/${setupId}/frames?name=${encodeURIComponent(name)}`, {
    ...{ method: "POST", headers, body: new Uint8Array(body) },
  });
const list = async (): Promise<FrameList> =>
  (await (await fetch(`${server.address}/api/setups/${setupId}/frames`)).json()) as FrameList;
const faultsOf = async (response: Response): Promise<readonly Fault[]> =>
  ((await response.json()) as { faults: readonly Fault[] }).faults;

async function until<T>(what: string, look: () => Promise<T | null> | T | null, patienceMs = 20_000): Promise<T> {
  const end = Date.now() + patienceMs;
  for (;;) {
    const found = await look();
    if (found !== null) return found;
    if (Date.now() > end) assert.fail(`not within ${patienceMs} ms: ${what}`);
    await new Promise((resolve) => setTimeout(resolve, 50));
  }
}

test("a frame is sent, listed, read back byte for byte, with a linear proxy and a small picture", async () => {
  const file = await jpeg(100, 3300, 20);
  const sent = await upload("0412.jpg", file);
  assert.equal(sent.status, 201);
  const card = (await sent.json()) as FrameCard;
  assert.deepEqual([card.name, card.width, card.height, card.bits, card.basis], ["0412.jpg", 3300, 20, 8, "profile"]);
  assert.deepEqual([card.proxy.width, card.proxy.height, card.proxy.reduction], [1100, 6, 3]);
  assert.deepEqual((await list()).frames, [card]);
  const original = await fetch(`${server.address}/api/frames/${card.id}/original`);
  assert.deepEqual(Buffer.from(await original.arrayBuffer()), file);
  assert.match(original.headers.get("content-disposition") ?? "", /^attachment; filename\*=UTF-8''0412\.jpg$/);
  const proxyBytes = new Uint8Array(await (await fetch(`${server.address}/api/frames/${card.id}/proxy`)).arrayBuffer());
  const proxy = expectOk(readProxy(proxyBytes, card.proxy.width, card.proxy.height, card.name));
  // sRGB 100 + 1 (the middle of the first three columns) decodes to 0.1301 (IEC 61966-2-1:1999); JPEG costs a code.
  assert.ok(Math.abs((proxy.rgb[1] as number) - 0.1301) < 0.004, String(proxy.rgb[1]));
  const thumb = await fetch(`${server.address}/api/frames/${card.id}/thumb`);
  assert.equal(thumb.headers.get("content-type"), "image/jpeg");
  const { width } = await sharp(Buffer.from(await thumb.arrayBuffer())).metadata();
  assert.equal(width, 275);
});

test("the same bytes again are the frame that is there; deleting is by hand and complete", async () => {
  const file = await jpeg(50);
  const first = (await (await upload("a.jpg", file)).json()) as FrameCard;
  const second = await upload("b.jpg", file);
  assert.equal(second.status, 200);
  assert.equal(((await second.json()) as FrameCard).id, first.id);
  const gone = await fetch(`${server.address}/api/frames/${first.id}`, { method: "DELETE" });
  assert.deepEqual(await gone.json(), { id: first.id });
  assert.equal((await fetch(`${server.address}/api/frames/${first.id}/original`)).status, 404);
  assert.equal((await fetch(`${server.address}/api/frames/${first.id}`, { method: "DELETE" })).status, 404);
});

test("what a frame shows is said by a person, and taken back", async () => {
  const card = (await (await upload("shows.jpg", await jpeg(77))).json()) as FrameCard;
  const put = (body: unknown): Promise<Response> =>
    fetch(`${server.address}/api/frames/${card.id}/shows`, {
      ...{ method: "PUT", headers: { "content-type": "application/json" }, body: JSON.stringify(body) },
    });
  const said = (await (await put({ shows: { kind: "together", lightIds: ["a", "b"] } })).json()) as FrameCard;
  assert.deepEqual(said.assignment?.shows, { kind: "together", lightIds: ["a", "b"] });
  assert.equal(said.assignment?.by, "person");
  for (const shows of [{ kind: "light" }, { kind: "together", lightIds: [1] }, "light", { kind: "x" }, undefined]) {
    const refused = await put({ shows });
    assert.equal(refused.status, 400);
    assert.deepEqual(
      (await faultsOf(refused)).map(({ code }) => code),
      ["bad-shows"],
    );
  }
  assert.notEqual(((await (await put({ shows: null })).json()) as FrameCard).assignment?.by, "person");
});

test("files that cannot be frames are refused with faults, a bomb by its header, and nothing of them stays", async () => {
  const good = await jpeg(90);
  const bomb = Buffer.from(
    await sharp({ create: { width: 8, height: 8, channels: 3, background: "red" } })
      .png()
      .toBuffer(),
  );
  bomb.writeUInt32BE(60_000, 16);
  bomb.writeUInt32BE(60_000, 20);
  const before = (await list()).frames.length;
  const cases: readonly (readonly [string, Uint8Array, number, string])[] = [
    ["cut.jpg", good.subarray(0, good.length >> 1), 400, "frame-truncated"],
    ["empty.jpg", new Uint8Array(0), 400, "frame-empty"],
    ["text.jpg", Buffer.from("no picture at all"), 400, "frame-kind"],
    ["bomb.png", bomb, 413, "frame-too-large"],
    ["x.nef", Buffer.from("not a raw file, whatever its name says"), 400, "frame-damaged"],
    ["short.ppm", Buffer.from("P6\n100 100\n255\nabc"), 400, "frame-truncated"],
  ];
  for (const [name, body, status, code] of cases) {
    const answer = await upload(name, body);
    assert.equal(answer.status, status, name);
    const [first] = await faultsOf(answer);
    assert.deepEqual([first?.code, first?.where], [code, name], name);
  }
  assert.equal((await upload("", good)).status, 400);
  assert.equal((await upload("a.jpg", good, { "content-type": "application/json" })).status, 400);
  assert.equal((await fetch(`${server.address}/api/setups/nobody/frames`)).status, 404);
  assert.equal((await list()).frames.length, before);
  // The mix's own file goes when its last byte is sent, which the answer's reader may see first.
  await until("nothing half-way is left", () => {
    const names = readdirSync(join(server.store.dataDir, "frames"));
    return names.some((name) => name.endsWith(".incoming")) ? null : true;
  });
});

test("a file over the size that is taken in is refused with 413, by what it says and by what it sends", async () => {
  const status = await new Promise<number>((resolve, reject) => {
    const path = `/api/setups/${setupId}/frames?name=huge.tif`;
    const headers = { ...bytes, "content-length": String(LARGEST_FILE + 1) };
    const asked = request({ host: "127.0.0.1", port: server.port, path, method: "POST", headers }, (response) => {
      resolve(response.statusCode ?? 0);
      asked.destroy();
    });
    asked.on("error", reject);
    asked.write("begin");
  });
  assert.equal(status, 413);
});

test("frames may be sent and read by this machine's own page alone", async () => {
  const file = await jpeg(33);
  for (const headers of [
    { ...bytes, origin: "http://evil.test" },
    { ...bytes, "sec-fetch-site": "cross-site" },
  ]) {
    const answer = await upload("a.jpg", file, headers as Record<string, string>);
    assert.equal(answer.status, 403);
    assert.deepEqual(
      (await faultsOf(answer)).map(({ code }) => code),
      ["wrong-origin"],
    );
  }
  const events = await fetch(`${server.address}/api/setups/${setupId}/frames/events`, {
    headers: { origin: "http://evil.test" },
  });
  assert.equal(events.status, 403);
});

interface Heard {
  readonly event: string;
  readonly data: unknown;
}

/** Events as they come. */
async function listen(heard: Heard[]): Promise<() => void> {
  const stop = new AbortController();
  const response = await fetch(`${server.address}/api/setups/${setupId}/frames/events`, { signal: stop.signal });
  assert.equal(response.headers.get("content-type"), "text/event-stream; charset=utf-8");
  void (async () => {
    let text = "";
    try {
      for await (const part of response.body as ReadableStream<Uint8Array>) {
        text += new TextDecoder().decode(part);
        const blocks = text.split("\n\n");
        text = blocks.pop() ?? "";
        for (const block of blocks) {
          const [, event, data] = /^event: (\w+)\ndata: (.*)$/.exec(block) ?? [];
          if (event !== undefined) heard.push({ event, data: JSON.parse(data ?? "null") });
        }
      }
    } catch {
      // The listener was ended by the test.
    }
  })();
  return () => stop.abort();
}

test("a hot folder brings its files in, says what it cannot read, and all of it is pushed to the page", async () => {
  const heard: Heard[] = [];
  const stop = await listen(heard);
  const folder = join(root, "tether");
  mkdirSync(folder);
  const file = await jpeg(120);
  writeFileSync(join(folder, "0500.jpg"), file);
  const put = (path: string | null): Promise<Response> =>
    fetch(`${server.address}/api/setups/${setupId}/frame-folder`, {
      ...{ method: "PUT", headers: { "content-type": "application/json" }, body: JSON.stringify({ path }) },
    });
  assert.equal(((await (await put(folder)).json()) as FrameFolder).state, "watching");
  const card = await until("0500.jpg is told", () => {
    const told = heard.find(({ event, data }) => event === "frames" && (data as FrameCard[])[0]?.name === "0500.jpg");
    return told === undefined ? null : ((told.data as FrameCard[])[0] as FrameCard);
  });
  assert.ok((await list()).frames.some(({ id }) => id === card.id));
  copyFileSync(join(folder, "0500.jpg"), join(folder, "0500 copy.jpg"));
  const said = await until("the duplicate is said", () => heard.find(({ event }) => event === "fault") ?? null);
  assert.equal((said.data as Fault).code, "frame-duplicate");
  assert.equal((await list()).folder.faults.length, 1);
  assert.equal(((await (await put(null)).json()) as FrameFolder).state, "off");
  await fetch(`${server.address}/api/frames/${card.id}`, { method: "DELETE" });
  await until("its removal is told", () => heard.find(({ event }) => event === "removed") ?? null);
  stop();
});

test("a hot folder is a folder that is there, by its whole path, and never the book's own", async () => {
  for (const path of [
    "tether",
    join(root, "nowhere"),
    join(root, "book", "frames"),
    join(root, "book"),
    7,
    `${root}\0`,
  ]) {
    const answer = await fetch(`${server.address}/api/setups/${setupId}/frame-folder`, {
      ...{ method: "PUT", headers: { "content-type": "application/json" }, body: JSON.stringify({ path }) },
    });
    assert.equal(answer.status, 400, String(path));
    const text = await answer.text();
    assert.match(text, /"(folder-path|no-folder)"/);
    assert.ok(!text.includes(root), "faults name no folder of this machine");
  }
});

test("hot folders that were on go on after a start", async () => {
  const folder = join(root, "again");
  mkdirSync(folder);
  const first = await start("second");
  const id = expectOk(first.store.cards({})).cards[0]?.id ?? "";
  await fetch(`${first.address}/api/setups/${id}/frame-folder`, {
    ...{ method: "PUT", headers: { "content-type": "application/json" }, body: JSON.stringify({ path: folder }) },
  });
  await first.close();
  writeFileSync(join(folder, "late.jpg"), await jpeg(10));
  const second = await start("second");
  await until("late.jpg is kept", () => {
    const frames = expectOk(second.store.frames.list(id));
    return frames.some(({ name }) => name === "late.jpg") ? true : null;
  });
  await second.close();
});

test("frames are assigned by their names when they come, and the full-size mix adds their light", async () => {
  const setup = expectOk(server.store.setup(setupId));
  const [main, fill] = setup.lights;
  const level = async (name: string, code: number): Promise<FrameCard> => {
    const pixels = Buffer.alloc(3 * 40 * 30, code);
    const file = await sharp(pixels, { raw: { width: 40, height: 30, channels: 3 } })
      .png()
      .toBuffer();
    return (await (await upload(name, file)).json()) as FrameCard;
  };
  const cards = [
    await level(`${main?.tag}_1.png`, 120),
    await level(`${fill?.tag}_2.png`, 90),
    await level("none.png", 30),
  ];
  await until("all three are assigned", async () => {
    const { frames } = await list();
    const kinds = cards.map(({ id }) => frames.find((card) => card.id === id)?.assignment?.shows.kind);
    return kinds.join() === "light,light,ambient" ? true : null;
  });
  const settings = [
    { lightId: main?.id, on: true, stops: 1, miredShift: 0 },
    { lightId: fill?.id, on: true, stops: -1, miredShift: 0 },
    { lightId: "ambient", on: true, stops: 0, miredShift: 0 },
  ];
  const mix = (body: unknown): Promise<Response> =>
    fetch(`${server.address}/api/setups/${setupId}/frames/mix`, {
      ...{ method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify(body) },
    });
  // a + 2(m − a) + (f − a)/2 in light, by IEC 61966-2-1:1999.
  const decode = (code: number): number => ((code / 255 + 0.055) / 1.055) ** 2.4;
  const light = decode(30) + 2 * (decode(120) - decode(30)) + 0.5 * (decode(90) - decode(30));
  const wanted = 65_535 * (1.055 * light ** (1 / 2.4) - 0.055);
  for (const format of ["tiff16", "png16"]) {
    const answer = await mix({ settings, format });
    assert.equal(answer.status, 200);
    const image = sharp(Buffer.from(await answer.arrayBuffer()), { ignoreIcc: true }).toColourspace("rgb16");
    const { data, info } = await image.raw({ depth: "ushort" }).toBuffer({ resolveWithObject: true });
    const codes = new Uint16Array(data.buffer, data.byteOffset, data.length / 2);
    assert.deepEqual([info.width, info.height], [40, 30]);
    assert.ok(
      codes.every((code) => Math.abs(code - wanted) < 8),
      `${codes[0]} and ${wanted}`,
    );
  }
  const left = readdirSync(join(server.store.dataDir, "frames")).filter((name) => name.endsWith(".incoming"));
  assert.deepEqual(left, []);
  assert.equal((await mix({ settings: [{ lightId: "x" }], format: "gif" })).status, 400);
  const unknown = await mix({ settings: [{ ...settings[0], lightId: "nobody" }], format: "png16" });
  assert.deepEqual(
    (await faultsOf(unknown)).map(({ code }) => code),
    ["mix-no-frame"],
  );
});

test("bytes flipped and files cut, seed 20261125: faults or frames, never a broken answer, and the server stays up", async () => {
  let state = 20261125;
  const dice = (below: number): number => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return Math.floor((state / 2 ** 32) * below);
  };
  const png = await sharp(await jpeg(60))
    .png()
    .toBuffer();
  const tiff = await sharp(await jpeg(60))
    .tiff({ compression: "lzw" })
    .toBuffer();
  const kinds: readonly (readonly [string, Buffer])[] = [
    ["f.jpg", await jpeg(60)],
    ["f.png", png],
    ["f.tif", tiff],
    ["f.ppm", Buffer.concat([Buffer.from("P6\n16 16\n255\n"), Buffer.alloc(768, 77)])],
  ];
  for (let round = 0; round < 60; round++) {
    const [name, whole] = kinds[round % kinds.length] as readonly [string, Buffer];
    const broken = Buffer.from(whole.subarray(0, dice(4) === 0 ? dice(whole.length) : whole.length));
    for (let i = 0; i < 1 + dice(6) && broken.length > 0; i++) broken[dice(broken.length)] = dice(256);
    const answer = await upload(`${round}-${name}`, broken);
    assert.ok(
      [200, 201, 400, 413].includes(answer.status),
      `${round} ${name} ${answer.status} ${await answer.clone().text()}`,
    );
    if (answer.status >= 400) assert.ok((await faultsOf(answer))[0]?.mend);
  }
  assert.equal((await upload("after.jpg", await jpeg(61))).status, 201);
  assert.ok(existsSync(join(server.store.dataDir, "frames")));
  assert.equal(readFileSync(join(server.store.dataDir, "book.sqlite")).subarray(0, 6).toString(), "SQLite");
});
