import assert from "node:assert/strict";
import { test } from "node:test";
import { exposureOf, frameFrom, type RenderedSet, renderSet } from "../../test/rendered-frames.ts";
import { CLEAN_16, CODED_8, RAW_14, seededRandom } from "./camera-model.ts";
import { checkSum } from "./check.ts";
import { gainBetween } from "./gains.ts";
import { linearFrame } from "./linear.ts";
import { curveOf, srgbCurve } from "./tone-curve.ts";
import { type CameraNoise, type LinearFrame, type SumCheck, TOO_DARK, USABLE } from "./types.ts";

const set: RenderedSet = renderSet();
const ids = set.lights.map(({ tag }) => tag);
const ALL = [0, 0, 0, 0];
/** The camera's sensitivity against the meter: a third of a stop under, so that skin keeps off the clip. */
const LEVEL = 0.8;

interface Shoot {
  readonly camera?: CameraNoise;
  readonly all?: readonly (number | null)[];
  readonly level?: number;
  readonly change?: (rgb: Float32Array) => Float32Array;
  readonly ambient?: number;
  readonly makeLinear?: (frame: Parameters<typeof linearFrame>[0]) => LinearFrame;
}

/** The four lights alone, all, none, photographed and checked. */
function check({ camera = RAW_14, all = ALL, level = 1, ambient = 1, ...more }: Shoot = {}): SumCheck {
  let seed = 0;
  const make = more.makeLinear ?? linearFrame;
  const shoot = (name: string, stops: readonly (number | null)[], k = 1, change = (rgb: Float32Array) => rgb) =>
    make(frameFrom(set, name, change(exposureOf(set, stops, ambient).map((v) => v * LEVEL * k)), camera, ++seed));
  const alones = ids.map((lightId, j) => ({
    lightId,
    frame: shoot(
      lightId,
      ALL.map((_, i) => (i === j ? 0 : null)),
    ),
  }));
  return checkSum({ together: shoot("all", all, level, more.change), alones, ambient: shoot("none", []) });
}

const kinds = ({ causes }: SumCheck): string[] =>
  causes.map(({ kind, lightId }) => `${kind}${lightId ? ` ${lightId}` : ""}`);

test("without noise the sum agrees to a thousandth of a stop, and nothing is said", () => {
  const found = check({ camera: CLEAN_16 });
  assert.ok(found.rmsStops < 0.002, `${found.rmsStops}`);
  assert.equal(found.verdict, "measured");
  assert.deepEqual(found.causes, []);
});

test("14-bit raw with noise is measured: RMS as the noise says, pixels too dark left out and counted", () => {
  const found = check();
  assert.equal(found.verdict, "measured");
  assert.ok(
    found.rmsStops < 0.02 && found.rmsStops < 1.5 * found.noiseStops + 0.003,
    `${found.rmsStops} ${found.noiseStops}`,
  );
  const { usable, clipped, dark, outside } = found.counts;
  assert.equal(usable + clipped + dark + outside, found.width * found.height);
  assert.deepEqual(found.causes, []);
});

test("8-bit files through sRGB's curve, which is theirs: a sketch, though the sum agrees", () => {
  const found = check({ camera: CODED_8 });
  assert.equal(found.verdict, "sketch");
  assert.ok(found.rmsStops < 0.05, `${found.rmsStops}`);
  const known = check({ camera: CODED_8, makeLinear: (frame) => linearFrame(frame, { response: srgbCurve }) });
  assert.equal(known.verdict, "measured");
});

for (const [j, off] of [
  [0, 0.2],
  [1, -0.4],
  [2, 0.3],
  [3, -0.7],
] as const) {
  test(`${ids[j]} ${off} stop other in the frame of all is named, its figure within 0.05 stop`, () => {
    for (const camera of [RAW_14, CODED_8]) {
      const found = check({ camera, all: ALL.map((_, i) => (i === j ? off : 0)) });
      assert.deepEqual(kinds(found), [`light-changed ${ids[j]}`]);
      assert.ok(Math.abs((found.causes[0]?.figure as number) - off) < 0.05, `${found.causes[0]?.figure}`);
      assert.ok(found.rmsAfterGains < 0.03, `${found.rmsAfterGains}`);
    }
  });
}

test("a light that did not fire in the frame of all is named", () => {
  assert.deepEqual(kinds(check({ all: [0, 0, 0, null] })), ["light-missing H"]);
});

test("an exposure that drifted is told from a light that changed", () => {
  const found = check({ level: 2 ** 0.3, ambient: 0.02 });
  assert.deepEqual(kinds(found), ["exposure-drift"]);
  assert.ok(Math.abs((found.causes[0]?.figure as number) - 0.3) < 0.03);
  assert.equal(found.verdict, "refused");
});

test("a frame of all that lies four pixels off is said, and its sum still agrees once it is taken back", () => {
  const found = check({ change: (rgb) => movedBy(rgb, 4, 0) });
  assert.deepEqual(kinds(found), ["subject-moved"]);
  assert.ok(Math.abs((found.causes[0]?.figure as number) - 4) < 0.2);
  assert.ok(found.counts.outside > 0 && found.rmsStops < 0.05, `${found.rmsStops}`);
});

test("a part of the picture that changed by itself is said with where", () => {
  const bright = (rgb: Float32Array): Float32Array =>
    rgb.map((v, i) => {
      const [x, y] = [Math.floor(i / 3) % set.width, Math.floor(i / 3 / set.width)];
      return x > 120 && x < 170 && y > 240 && y < 290 ? 1.5 * v : v;
    });
  const found = check({ change: bright });
  const [cause] = found.causes;
  assert.equal(cause?.kind, "subject-moved");
  const where = cause?.where as NonNullable<typeof cause.where>;
  assert.ok(
    where.x > 110 && where.x + where.width < 180 && where.y > 230 && where.y + where.height < 300,
    JSON.stringify(where),
  );
});

test("a camera's own curve read as sRGB is a tone curve: stops do not add", () => {
  const bent = curveOf("read wrongly", (code) => code ** 3.2);
  const found = check({
    camera: CODED_8,
    makeLinear: (frame) => ({ ...linearFrame(frame, { response: bent }), basis: "profile" }),
  });
  assert.ok(found.verdict !== "sketch" && found.verdict !== "measured");
  assert.ok(kinds(found).includes("tone-curve"), `${kinds(found)}`);
});

test("the map is in stops, positive where the sum is brighter, and says why a patch is left out", () => {
  const found = check({ all: [-1, 0, 0, 0] });
  const used = found.stops.filter((_, i) => found.state[i] === USABLE);
  assert.ok(used.length > 500 && used.every((value) => value > -0.1 && value < 1.1));
  const dark = check({ camera: { ...RAW_14, readNoise: 400 } });
  assert.ok(dark.counts.dark > 0);
  dark.stops.forEach((value, i) => {
    if (dark.state[i] === TOO_DARK) assert.equal(value, 0);
  });
});

test("the gain between two frames of one light comes back within its standard deviations (seeds 1 to 6)", () => {
  for (let seed = 1; seed <= 6; seed++) {
    const step = 2 * seededRandom(seed).uniform() - 1;
    const shoot = (stops: number, k: number): LinearFrame =>
      linearFrame(frameFrom(set, "m", exposureOf(set, [stops - 1, null, null, null], 0), RAW_14, 10 * seed + k));
    const found = gainBetween(shoot(0, 1), shoot(step, 2));
    assert.ok(
      found && Math.abs(found.stops - step) < Math.max(0.003, 4 * found.sigmaStops),
      `${found?.stops} for ${step}`,
    );
  }
});

function movedBy(rgb: Float32Array, dx: number, dy: number): Float32Array {
  const { width, height } = set;
  return rgb.map((_, i) => {
    const [x, y] = [Math.floor(i / 3) % width, Math.floor(i / 3 / width)];
    const [sx, sy] = [Math.min(width - 1, Math.max(0, x - dx)), Math.min(height - 1, Math.max(0, y - dy))];
    return rgb[3 * (sy * width + sx) + (i % 3)] as number;
  });
}
