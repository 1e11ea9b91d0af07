/** Readers and writers of our own, against the standards, closed forms and libvips. */

import assert from "node:assert/strict";
import { spawnSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, test } from "node:test";
import fc from "fast-check";
import sharp from "sharp";
import { srgbDecode } from "../colour/index.ts";
import { linearFrame, proxyOf } from "../frames/index.ts";
import { encodePixels16 } from "../picture/index.ts";
import { expectOk } from "../units/index.ts";
import { decodeFile } from "./decode.ts";
import { binned, demosaic, type Mosaic } from "./demosaic.ts";
import { encode16 } from "./encode16.ts";
import { readHeader } from "./header.ts";
import { readProfile } from "./icc.ts";
import { LARGEST_FILE, LONGEST_SIDE, MOST_PIXELS } from "./limits.ts";
import { lookAt } from "./look.ts";
import { createDecoder, decodeFrame } from "./node.ts";
import { oriented } from "./orient.ts";
import { readProxy, writeProxy } from "./proxy-file.ts";
import { srgbProfile } from "./srgb-profile.ts";
import { writePicture } from "./write-picture.ts";

const root = mkdtempSync(join(tmpdir(), "stopwise-formats-"));
const decoder = createDecoder({ threads: 1 });
after(async () => {
  await decoder.close();
  rmSync(root, { recursive: true, force: true });
});

const ramp = (width: number, height: number): Uint8Array =>
  Uint8Array.from({ length: 3 * width * height }, (_, i) => (5 * Math.floor(i / 3) + 40 * (i % 3)) % 256);
const rampImage = (width: number, height: number): ReturnType<typeof sharp> =>
  sharp(ramp(width, height), { raw: { width, height, channels: 3 } });
const text = (value: string): Uint8Array => new TextEncoder().encode(value);
const codesOf = (faults: readonly { readonly code: string }[]): readonly string[] => faults.map(({ code }) => code);

test("our sRGB profile is read back as sRGB's curve, and Little CMS converts greys and pure red by it as CSS Color 4 has them", async () => {
  const profile = readProfile(srgbProfile());
  assert.equal(profile?.name, "embedded profile sRGB");
  const table = profile?.curve?.tables[1] as Float32Array;
  for (let i = 0; i < table.length; i += 37) {
    const wanted = srgbDecode(i / (table.length - 1));
    assert.ok(Math.abs((table[i] as number) - wanted) < 3e-5, `${i}`);
  }
  const path = join(root, "profiled.tif");
  const codes = Uint16Array.from([65_535, 0, 0, 32_768, 32_768, 32_768, 5000, 5000, 5000, 65_535, 65_535, 65_535]);
  await writePicture(path, "tiff16", 4, 1, (from, to) => codes.slice(12 * from, 12 * to));
  assert.equal((await sharp(path).metadata()).hasProfile, true);
  // libvips takes 16-bit pictures with a profile to Display P3, by Little CMS.
  const { data } = await sharp(path)
    .toColourspace("rgb16")
    .raw({ depth: "ushort" })
    .toBuffer({ resolveWithObject: true });
  const seen = [...new Uint16Array(data.buffer, data.byteOffset, 12)].map((code) => code / 65_535);
  [0.9175, 0.2003, 0.1386].forEach((part, c) => {
    assert.ok(Math.abs((seen[c] as number) - part) < 0.006, `red is ${seen.slice(0, 3)}`);
  });
  for (let i = 3; i < 12; i++) assert.ok(Math.abs((seen[i] as number) - (codes[i] as number) / 65_535) < 2e-4, `${i}`);
});

test("profiles' curves: an exponent, a table and each formula of ISO 15076-1, 10.18, at hand-computed points", () => {
  const at = (curve: Uint8Array, code: number): number => {
    const table = readProfile(profileWith(curve))?.curve?.tables[0] as Float32Array;
    return table[Math.round(code * (table.length - 1))] as number;
  };
  assert.ok(Math.abs(at(curv([Math.round(2.2 * 256)]), 0.5) - 0.5 ** 2.19921875) < 1e-3);
  assert.ok(Math.abs(at(curv([0, 16_384, 65_535]), 0.5) - 0.25) < 1e-3);
  assert.ok(Math.abs(at(curv([]), 1) - 1) < 1e-9);
  assert.ok(Math.abs(at(para(0, [1.8]), 0.5) - 0.5 ** 1.8) < 1e-3);
  assert.ok(Math.abs(at(para(1, [2, 1.25, -0.25]), 0.6) - 0.25) < 1e-3);
  assert.ok(Math.abs(at(para(2, [2, 1, 0, 0.1]), 0.5) - 0.35) < 1e-3);
  assert.ok(Math.abs(at(para(3, [2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045]), 0.02) - 0.02 / 12.92) < 1e-4);
  assert.ok(Math.abs(at(para(4, [2, 1, 0, 0.5, 0.2, 0.15, 0.05]), 0.1) - 0.1) < 1e-3);
  // A curve that falls is none, nor is one that is cut short.
  assert.equal(readProfile(profileWith(curv([0, 50_000, 20_000, 65_535]))), null);
  assert.equal(readProfile(profileWith(para(4, [2, 1]))), null);
});

function curv(entries: readonly number[]): Uint8Array {
  const bytes = new Uint8Array(12 + 2 * entries.length);
  bytes.set(text("curv"));
  const view = new DataView(bytes.buffer);
  view.setUint32(8, entries.length);
  entries.forEach((value, i) => {
    view.setUint16(12 + 2 * i, value);
  });
  return bytes;
}

function para(kind: number, values: readonly number[]): Uint8Array {
  const bytes = new Uint8Array(12 + 4 * values.length);
  bytes.set(text("para"));
  const view = new DataView(bytes.buffer);
  view.setUint16(8, kind);
  values.forEach((value, i) => {
    view.setInt32(12 + 4 * i, Math.round(65_536 * value));
  });
  return bytes;
}

/** A grey profile with one curve. */
function profileWith(curve: Uint8Array): Uint8Array {
  const bytes = new Uint8Array(144 + curve.length);
  const view = new DataView(bytes.buffer);
  bytes.set(text("acsp"), 36);
  view.setUint32(128, 1);
  bytes.set(text("kTRC"), 132);
  view.setUint32(136, 144);
  view.setUint32(140, curve.length);
  bytes.set(curve, 144);
  return bytes;
}

test("PPM and PGM: plain and packed, 8 and 16 bits, comments anywhere, most significant byte first", async () => {
  const packed16 = Uint8Array.from([
    ...text("P6\n# by hand\n2 1\n# more\n65535\n"),
    0,
    1,
    1,
    0,
    255,
    255,
    0,
    0,
    128,
    0,
    0,
    2,
  ]);
  const wide = expectOk(await decodeFrame(packed16, "a.ppm", { meaning: "linear" })).image;
  assert.deepEqual(
    [...wide.rgb].map((value) => Math.round(65_535 * value)),
    [1, 256, 65_535, 0, 32_768, 2],
  );
  const plain = expectOk(await decodeFrame(text("P2 #c\n3 1 4\n0 2\n4"), "a.pgm", { meaning: "linear" })).image;
  assert.deepEqual([...plain.rgb], [0, 0, 0, 0.5, 0.5, 0.5, 1, 1, 1]);
  const packed8 = Uint8Array.from([...text("P5 2 1 255 "), 51, 255]);
  const grey = expectOk(await decodeFrame(packed8, "b.pgm", { meaning: "linear" })).image;
  assert.deepEqual(
    [...grey.rgb].map((value) => Math.round(255 * value)),
    [51, 51, 51, 255, 255, 255],
  );
  for (const [bytes, code] of [
    [text("P6\n2 2\n255\nxyz"), "frame-truncated"],
    [text("P6\n2\n"), "frame-header"],
    [text("P6\n2 2\n70000\n"), "frame-header"],
    [text("P2\n2 1\n4\n1 9\n"), "frame-damaged"],
    [text("P2\n2 1\n4\n1 x\n"), "frame-damaged"],
    [text("P4\n2 1\n"), "frame-kind"],
    [text("P6\n99999 99999\n255\n"), "frame-too-large"],
  ] as const) {
    const answer = await decodeFrame(bytes, "bad.ppm");
    assert.deepEqual(answer.ok ? null : codesOf(answer.faults), [code], new TextDecoder().decode(bytes));
  }
});

test("bombs are refused by their headers alone: PNG, JPEG, TIFF, PPM and DNG that claim more than is read", async () => {
  const png = new Uint8Array(await rampImage(4, 4).png().toBuffer());
  const jpeg = new Uint8Array(await rampImage(16, 16).jpeg().toBuffer());
  const tiff = new Uint8Array(await rampImage(4, 4).tiff({ compression: "none" }).toBuffer());
  new DataView(png.buffer).setUint32(16, LONGEST_SIDE + 1);
  const sof = jpeg.findIndex((byte, i) => byte === 0xff && jpeg[i + 1] === 0xc0);
  new DataView(jpeg.buffer).setUint16(sof + 5, 65_500);
  new DataView(jpeg.buffer).setUint16(sof + 7, 65_500);
  const dng = dngHeader(40_000, 40_000);
  setTag(tiff, 256, 50_000);
  setTag(tiff, 257, 50_000);
  const began = performance.now();
  for (const [name, bytes] of Object.entries({ "a.png": png, "a.jpg": jpeg, "a.tif": tiff, "a.dng": dng })) {
    const header = readHeader(bytes, name);
    assert.deepEqual(header.ok ? null : codesOf(header.faults), ["frame-too-large"], name);
  }
  assert.ok(performance.now() - began < 200, "nothing was decoded");
  assert.ok(MOST_PIXELS < LONGEST_SIDE ** 2 && LARGEST_FILE > 3 * MOST_PIXELS);
});

/** Sets a LONG or SHORT of the first directory of a little-endian TIFF. */
function setTag(bytes: Uint8Array, id: number, value: number): void {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const at = view.getUint32(4, true);
  for (let i = 0; i < view.getUint16(at, true); i++) {
    const entry = at + 2 + 12 * i;
    if (view.getUint16(entry, true) !== id) continue;
    view.setUint16(entry + 2, 4, true);
    view.setUint32(entry + 8, value, true);
  }
}

/** A directory that says colour filters, a size and a DNG version, and no pixels. */
function dngHeader(width: number, height: number): Uint8Array {
  const tags = [
    [256, 4, 1, width],
    [257, 4, 1, height],
    [262, 3, 1, 32_803],
    [50_706, 1, 4, 0x0401],
  ] as const;
  const bytes = new Uint8Array(10 + 12 * tags.length + 4);
  const view = new DataView(bytes.buffer);
  bytes.set([0x49, 0x49, 42, 0, 8, 0, 0, 0, tags.length, 0]);
  tags.forEach(([id, type, count, value], i) => {
    view.setUint16(10 + 12 * i, id, true);
    view.setUint16(12 + 12 * i, type, true);
    view.setUint32(14 + 12 * i, count, true);
    view.setUint32(18 + 12 * i, value, true);
  });
  return bytes;
}

test("JPEGs of all eight orientations stand as libvips turns them; Exif's exposure is read", async () => {
  const { data } = await rampImage(5, 3).raw().toBuffer({ resolveWithObject: true });
  const stored = Float32Array.from(data, (code) => code / 255);
  for (let orientation = 1; orientation <= 8; orientation++) {
    const png = await rampImage(5, 3).png().withMetadata({ orientation }).toBuffer();
    const turned = await sharp(png).autoOrient().removeAlpha().raw().toBuffer({ resolveWithObject: true });
    const mine = oriented({ width: 5, height: 3, rgb: stored }, orientation);
    assert.deepEqual([mine.width, mine.height], [turned.info.width, turned.info.height]);
    assert.deepEqual(
      [...mine.rgb].map((value) => Math.round(255 * value)),
      [...turned.data],
      `orientation ${orientation}`,
    );
  }
  const jpeg = await rampImage(16, 16)
    .jpeg()
    .withExif({
      IFD2: { ExposureTime: "1/125", FNumber: "56/10", ISOSpeedRatings: "200", ExposureMode: "1", Flash: "1" },
    })
    .toBuffer();
  const { exposure } = expectOk(await decodeFrame(jpeg, "exif.jpg"));
  assert.deepEqual(
    [exposure.shutterS, exposure.fNumber, exposure.iso, exposure.manual, exposure.flashFired],
    [1 / 125, 5.6, 200, true, true],
  );
});

test("bilinear demosaic: a plane of light stays that plane inside, blocks are means, clipped sites give white, noise under black stays", () => {
  const width = 12;
  const height = 10;
  const plane = (x: number, y: number, c: number): number => 0.1 + 0.02 * x + 0.01 * y + 0.05 * c;
  const pattern = [0, 1, 1, 2] as const;
  const codes = Uint16Array.from({ length: width * height }, (_, i) => {
    const [x, y] = [i % width, Math.floor(i / width)];
    return Math.round(1000 + 10_000 * plane(x, y, pattern[((y & 1) << 1) | (x & 1)] as number));
  });
  const mosaic: Mosaic = {
    width,
    height,
    codes,
    pattern,
    black: [1000, 1000, 1000, 1000],
    white: 11_000,
    clipCode: 10_800,
  };
  const full = demosaic(mosaic);
  for (let y = 1; y < height - 1; y++) {
    for (let x = 1; x < width - 1; x++) {
      for (let c = 0; c < 3; c++) {
        const got = full.rgb[3 * (y * width + x) + c] as number;
        assert.ok(Math.abs(got - plane(x, y, c)) < 2e-4, `${x} ${y} ${c}: ${got}`);
      }
    }
  }
  const half = binned(mosaic);
  assert.deepEqual([half.width, half.height], [6, 5]);
  assert.ok(Math.abs((half.rgb[1] as number) - (plane(1, 0, 1) + plane(0, 1, 1)) / 2) < 2e-4);
  const burnt = Uint16Array.from(codes);
  burnt[4 * width + 4] = 16_000;
  burnt[2 * width + 2] = 900;
  const odd = demosaic({ ...mosaic, codes: burnt });
  assert.equal(odd.rgb[3 * (4 * width + 4)], 1);
  assert.equal(odd.rgb[3 * (4 * width + 5)], 1);
  assert.ok(Math.abs((odd.rgb[3 * (2 * width + 2)] as number) + 0.01) < 1e-6);
});

test("demosaicing a sum is the sum of demosaiced frames, seed 11", () => {
  const site = fc.integer({ min: 0, max: 2000 });
  const arrays = fc.array(site, { minLength: 64, maxLength: 64 });
  fc.assert(
    fc.property(arrays, arrays, (a, b) => {
      const mosaicOf = (codes: readonly number[]): Mosaic => ({
        ...{ width: 8, height: 8, codes: Uint16Array.from(codes), pattern: [1, 0, 2, 1] as const },
        ...{ black: [0, 0, 0, 0] as const, white: 10_000, clipCode: 9800 },
      });
      const sum = demosaic(mosaicOf(a.map((value, i) => value + (b[i] as number)))).rgb;
      const [first, second] = [demosaic(mosaicOf(a)).rgb, demosaic(mosaicOf(b)).rgb];
      assert.ok(sum.every((value, i) => Math.abs(value - (first[i] as number) - (second[i] as number)) < 1e-6));
    }),
    { seed: 11, numRuns: 60 },
  );
});

test("a proxy straight from the codes is the mean of the full frame's linear light, and its clipped marks are the same", async () => {
  for (const [name, bytes] of [
    ["a.jpg", await rampImage(170, 130).jpeg({ quality: 95 }).toBuffer()],
    ["a.tif", await rampImage(170, 130).toColourspace("rgb16").tiff().toBuffer()],
  ] as const) {
    const file = expectOk(await decodeFile(bytes, name));
    const { proxy } = lookAt(file, name, 60, null);
    const whole = proxyOf(linearFrame(expectOk(await decodeFrame(bytes, name))), 60);
    assert.deepEqual(
      [proxy.width, proxy.height, proxy.reduction, proxy.basis],
      [whole.width, whole.height, 3, whole.basis],
    );
    assert.ok(
      proxy.rgb.every((value, i) => Math.abs(value - (whole.rgb[i] as number)) < 2e-4),
      name,
    );
    assert.deepEqual(proxy.clipped, whole.clipped);
  }
});

test("a proxy at rest keeps eleven bits of light, its sign and its marks; bytes of another size are a fault", () => {
  const rgb = Float32Array.from([0.18, -0.001, 1.5, 0.000_02, 0, 0.999]);
  const back = expectOk(readProxy(writeProxy({ rgb, clipped: Uint8Array.of(0, 1) }), 2, 1, "a"));
  rgb.forEach((value, i) => {
    assert.ok(Math.abs((back.rgb[i] as number) - value) <= Math.abs(value) / 2048 + 3e-8, `${i}`);
  });
  assert.deepEqual([...back.clipped], [0, 1]);
  const wrong = readProxy(new Uint8Array(13), 2, 1, "a");
  assert.deepEqual(wrong.ok ? null : codesOf(wrong.faults), ["proxy-damaged"]);
});

test("16-bit codes by table are those of the formula (IEC 61966-2-1) within a code, over all light", () => {
  const light = Float32Array.from({ length: 50_000 }, (_, i) => -0.01 + (1.03 * i ** 2) / 50_000 ** 2);
  const [table, formula] = [encode16(light), encodePixels16(light)];
  assert.ok(table.every((code, i) => Math.abs(code - (formula[i] as number)) <= 1));
});

test("written TIFF and PNG of 16 bits are read by libvips code by code, also over the seams of their bands", async () => {
  const [width, height] = [37, 131];
  const codes = Uint16Array.from({ length: 3 * width * height }, (_, i) => (i * 2654435761) % 65_536);
  for (const format of ["tiff16", "png16"] as const) {
    const path = join(root, `seams-${format}`);
    await writePicture(path, format, width, height, (from, to) => codes.slice(3 * width * from, 3 * width * to));
    const { data } = await sharp(path, { ignoreIcc: true })
      .toColourspace("rgb16")
      .raw({ depth: "ushort" })
      .toBuffer({ resolveWithObject: true });
    assert.deepEqual(new Uint16Array(data.buffer, data.byteOffset, codes.length), codes, format);
    const read = expectOk(await decodeFrame(readFileSync(path), `x.${format === "tiff16" ? "tif" : "png"}`)).image;
    assert.equal(read.encoding, "coded", "its curve is stated, not guessed");
  }
});

test("a decoder that breaks or is too slow gives a fault and goes on with the next frame", async () => {
  const slow = createDecoder({ threads: 1, patienceMs: 1 });
  const large = await rampImage(3000, 2000).png().toBuffer();
  const answer = await slow.look(large, "slow.png");
  assert.deepEqual(answer.ok ? null : codesOf(answer.faults), ["frame-slow"]);
  await slow.close();
  const closed = await slow.look(large, "late.png");
  assert.deepEqual(closed.ok ? null : codesOf(closed.faults), ["decoder-closed"]);
  const good = await decoder.look(await rampImage(20, 20).png().toBuffer(), "good.png");
  assert.equal(good.ok, true);
  const gone = await decoder.look(join(root, "nowhere.jpg"), "nowhere.jpg");
  assert.deepEqual(gone.ok ? null : gone.faults.map(({ code, where }) => [code, where]), [["no-file", "nowhere.jpg"]]);
});

test("without the platform's decoders a frame gets a plain fault, and PPM is still read", () => {
  const script = `
import { registerHooks } from "node:module";
registerHooks({
  resolve(name, context, next) {
    if (name === "sharp") throw new Error("not installed");
    return next(name, context);
  },
});
const { decodeFrame } = await import(process.argv[1]);
const png = await decodeFrame(Uint8Array.from(JSON.parse(process.argv[2])), "a.png");
const ppm = await decodeFrame(new TextEncoder().encode("P2 1 1 9 5"), "a.pgm");
console.log(JSON.stringify([png.ok ? null : png.faults[0].code, ppm.ok]));`;
  // A one-pixel grey PNG's header is enough: the decoder is asked for next.
  const header = [
    0x89, 0x50, 0x4e, 0x47, 13, 10, 26, 10, 0, 0, 0, 13, 73, 72, 68, 82, 0, 0, 0, 1, 0, 0, 0, 1, 8, 0, 0, 0, 0,
  ];
  const args = [
    "--input-type=module",
    "-e",
    script,
    join(import.meta.dirname, "node.ts"),
    JSON.stringify([...header, 0, 0, 0, 0]),
  ];
  const done = spawnSync(process.execPath, args, { encoding: "utf8" });
  assert.equal(done.stdout.trim(), '["decoder-missing",true]', done.stderr);
});
