/** Our OpenEXR files, read by readers that are not ours: the loader of three, and ImageMagick (its own OpenEXR library) where it is installed. */

import assert from "node:assert/strict";
import { spawnSync } from "node:child_process";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import test from "node:test";
import { writeExr } from "./exr.ts";
import { readExr } from "./testing.ts";

/** Rows over a block's 16, values of every size and sign, and a noisy part that does not shrink. */
function sample(width: number, height: number): Float32Array {
  let state = 12345;
  return Float32Array.from({ length: 3 * width * height }, (_, i) => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    if (i < width * 48) return (state / 2 ** 32) * 10 ** ((state % 17) - 8);
    return i % 3 === 2 ? -i * 1e-6 : i / 1000;
  });
}

for (const [width, height] of [
  [37, 45],
  [1, 1],
  [16, 16],
  [5, 33],
] as const) {
  test(`an independent reader gets every float of a ${width} × ${height} OpenEXR picture back, bit for bit (seed 12345)`, async () => {
    const rgb = sample(width, height);
    const read = await readExr(await writeExr(rgb, width, height, "one light, per lm·s"));
    assert.deepEqual([read.width, read.height], [width, height]);
    assert.deepEqual(read.rgb, rgb);
    assert.equal(read.comments, "one light, per lm·s");
    assert.equal(read.compression, "ZIP_COMPRESSION");
  });
}

test("ImageMagick reads the same values, upright", async (t) => {
  if (!spawnSync("convert", ["-list", "format"]).stdout?.toString().includes("EXR")) {
    t.skip("ImageMagick with OpenEXR is not installed");
    return;
  }
  const folder = mkdtempSync(join(tmpdir(), "stopwise-exr-"));
  try {
    const [width, height] = [6, 20];
    const rgb = Float32Array.from({ length: 3 * width * height }, (_, i) =>
      i % 3 === 0 ? i / 512 : 0.25 + (i % 7) / 16,
    );
    writeFileSync(join(folder, "a.exr"), await writeExr(rgb, width, height, ""));
    const ran = spawnSync("convert", ["a.exr", "-set", "colorspace", "sRGB", "-depth", "16", "rgb:-"], { cwd: folder });
    assert.equal(ran.status, 0, ran.stderr.toString());
    assert.equal(ran.stdout.length, 6 * width * height);
    // Labelled, not converted; it reads through half floats, of which eleven bits hold.
    rgb.forEach((value, i) => {
      const got = ran.stdout.readUInt16LE(2 * i) / 65535;
      assert.ok(Math.abs(got - value) < 1e-3, `value ${i}: ${got} for ${value}`);
    });
  } finally {
    rmSync(folder, { recursive: true });
  }
});
