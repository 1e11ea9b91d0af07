import assert from "node:assert/strict";
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, test } from "node:test";
import sharp from "sharp";
import { letIn, Visitor } from "../../../test/network-visitor.ts";
import type { FrameList } from "../../store/index.ts";
import { expectOk } from "../../units/index.ts";
import { startServer } from "../index.ts";
import { FrameNews, folderFromAfar } from "./events.ts";

const root = mkdtempSync(join(tmpdir(), "stopwise-afar-"));
after(() => rmSync(root, { recursive: true, force: true }));
let made = 0;

test("a device that was let in sees the frames and whether a folder is watched, not where it lies nor its files' faults", async (t) => {
  const lan = "127.0.0.2";
  const server = expectOk(
    await startServer({
      ...{ dataDir: join(root, "book"), port: 0, webDir: join(root, "none"), seedDemo: true },
      ...{
        now: () => new Date(),
        newId: () => `a${made++}`,
        network: { port: 0, mdnsPort: null, addresses: () => [lan] },
      },
    }),
  );
  t.after(() => server.close());
  expectOk(await server.network.switchOn("secure"));
  const visitor = new Visitor(server, lan);
  await letIn(server, visitor, "look");
  const folder = join(root, "tether");
  mkdirSync(folder);
  // The same picture twice is said at once.
  const picture = await sharp({ create: { width: 64, height: 48, channels: 3, background: "grey" } })
    .jpeg()
    .toBuffer();
  for (const name of ["0001.jpg", "0002.jpg"]) writeFileSync(join(folder, name), picture);
  const path = "/api/setups/demo-choir/frames";
  await fetch(`${server.address}/api/setups/demo-choir/frame-folder`, {
    ...{ method: "PUT", headers: { "content-type": "application/json" }, body: JSON.stringify({ path: folder }) },
  });
  const here = async (): Promise<FrameList> => (await (await fetch(`${server.address}${path}`)).json()) as FrameList;
  for (let tries = 0; tries < 100 && (await here()).folder.faults.length === 0; tries++) {
    await new Promise((resolve) => setTimeout(resolve, 100));
  }
  assert.ok((await here()).folder.faults.length > 0);
  assert.equal((await here()).folder.path, folder);
  const answer = await visitor.ask(path);
  assert.equal(answer.status, 200, answer.text);
  assert.deepEqual((JSON.parse(answer.text) as FrameList).folder, { path: null, state: "watching", faults: [] });
  assert.ok(!answer.text.includes(root));
});

test("pushed news of the folder and its faults keep to this machine", () => {
  const news = new FrameNews();
  const listener = (): { text: string; response: never } => {
    const one = { text: "" };
    const response = {
      ...{ on: () => undefined, writeHead: () => undefined, writableLength: 0, end: () => undefined },
      write: (part: string) => {
        one.text += part;
      },
    };
    return Object.assign(one, { response: response as never });
  };
  const [here, afar] = [listener(), listener()];
  news.listen("s", here.response, {}, true);
  news.listen("s", afar.response, {}, false);
  news.tell("s", "folder", { path: "/a/place", state: "watching", faults: [] });
  news.tell("s", "fault", { code: "frame-kind", what: "No picture", where: "/a/place/x.jpg", mend: "Look." });
  news.tell("s", "removed", { id: "f1" });
  news.close();
  assert.equal(here.text.match(/\/a\/place/g)?.length, 2);
  assert.ok(!afar.text.includes("/a/place") && afar.text.includes('"watching"') && afar.text.includes('"f1"'));
  assert.deepEqual(folderFromAfar({ path: "/x", state: "gone", faults: [] }).path, null);
});
