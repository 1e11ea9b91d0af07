import assert from "node:assert/strict";
import { mkdtempSync, rmSync, utimesSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { test } from "node:test";
import { startServer } from "./index.ts";
import { takesGzip } from "./packed-files.ts";

test("who takes gzip, by RFC 9110's words", () => {
  for (const yes of ["gzip", "gzip, deflate, br", "br;q=1, gzip;q=0.5", "*", "GZIP"]) assert.ok(takesGzip(yes), yes);
  for (const no of [undefined, "", "br", "gzip;q=0", "identity", "*;q=0", "gzip;q=0, *"])
    assert.ok(!takesGzip(no), String(no));
});

test("text of the page goes packed to who takes it, plain to others, and anew when the file has changed", async () => {
  const folder = mkdtempSync(join(tmpdir(), "stopwise-packed-"));
  const page = join(folder, "index.html");
  writeFileSync(page, `<!doctype html>${"<p>a long page".repeat(400)}`);
  const started = await startServer({
    ...{ dataDir: join(folder, "data"), port: 0, webDir: folder, seedDemo: false },
    ...{ now: () => new Date(), newId: () => "id" },
  });
  assert.ok(started.ok);
  const ask = async (
    coding: string,
  ): Promise<{ coding: string | null; vary: string | null; text: string; sent: number }> => {
    // Node's fetch unpacks by itself, and tells the length that travelled.
    const answer = await fetch(started.value.address, { headers: { "accept-encoding": coding } });
    const { headers } = answer;
    return {
      coding: headers.get("content-encoding"),
      vary: headers.get("vary"),
      text: await answer.text(),
      sent: Number(headers.get("content-length")),
    };
  };
  try {
    const [packed, plain] = [await ask("gzip"), await ask("identity")];
    assert.equal(packed.coding, "gzip");
    assert.equal(plain.coding, null);
    assert.match(packed.vary ?? "", /accept-encoding/);
    assert.match(plain.vary ?? "", /accept-encoding/);
    assert.equal(packed.text, plain.text);
    assert.ok(packed.sent * 3 < plain.sent, `${packed.sent} of ${plain.sent} bytes`);
    writeFileSync(page, `<!doctype html>${"<p>another page".repeat(400)}`);
    utimesSync(page, new Date(), new Date(Date.now() + 5000));
    assert.match((await ask("gzip")).text, /another page/);
  } finally {
    await started.value.close();
    rmSync(folder, { recursive: true, force: true });
  }
});
