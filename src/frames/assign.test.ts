import assert from "node:assert/strict";
import { test } from "node:test";
import { exposureOf, frameFrom, type RenderedSet, renderSet } from "../../test/rendered-frames.ts";
import { assignFrames } from "./assign.ts";
import { assignByName, byNumbers, corrected } from "./assign-words.ts";
import { CODED_8, photograph, RAW_14, seededRandom } from "./camera-model.ts";
import { linearFrame } from "./linear.ts";
import { frameOf } from "./testing.ts";
import type { Assignment, CameraNoise, LinearFrame, Shows } from "./types.ts";

const set: RenderedSet = renderSet();
const lights = set.setup.lights.map(({ id, tag, role }) => ({ id, tag, role }));

const shoot = (
  name: string,
  stops: readonly (number | null)[],
  camera: CameraNoise,
  seed = name.length,
  ambient = 1,
): LinearFrame =>
  linearFrame(
    frameFrom(
      set,
      name,
      exposureOf(set, stops, ambient).map((v) => 0.7 * v),
      camera,
      seed,
    ),
  );
const only = (j: number): (number | null)[] => [0, 1, 2, 3].map((i) => (i === j ? 0 : null));

const said = (assignments: readonly Assignment[]): string[] => assignments.map(({ shows }) => wordOf(shows));

function wordOf(shows: Shows): string {
  if (shows.kind === "light") return shows.lightId;
  return shows.kind === "together" ? `all of ${shows.lightIds.length}` : shows.kind;
}

for (const [name, camera] of Object.entries({ RAW_14, CODED_8 })) {
  test(`without setup or names the room, four lights and all are told from each other (${name})`, () => {
    const frames = [
      shoot("0412", only(0), camera, 1),
      shoot("0413", only(1), camera, 2),
      shoot("0414", only(2), camera, 3),
      shoot("0415", only(3), camera, 4),
      shoot("0416", [0, 0, 0, 0], camera, 5),
      shoot("0417", [], camera, 6),
    ];
    const found = assignFrames(frames);
    assert.deepEqual(said(found), ["light-1", "light-2", "light-3", "light-4", "all of 4", "ambient"]);
    for (const { confidence, why } of found) assert.ok(confidence > 0.5 && why !== "");
  });
}

test("a sum of two lights is told to be of these two", () => {
  const frames = [0, 1, 2].map((j) => shoot(`a${j}`, only(j), RAW_14, j + 1));
  const found = assignFrames([...frames, shoot("b1", [0, null, 0, null], RAW_14, 9), shoot("b2", [], RAW_14, 10)]);
  const shows = found[3]?.shows;
  assert.deepEqual(shows, { kind: "together", lightIds: ["light-1", "light-3"] });
});

test("frames of single lights without a joint one are not made into a sum", () => {
  const found = assignFrames([0, 1, 2, 3].map((j) => shoot(`a${j}`, only(j), RAW_14, j + 1, 0)));
  assert.deepEqual(said(found), ["light-1", "light-2", "light-3", "light-4"]);
});

test("exposures of one scene a stop apart repeat the first, with their stops", () => {
  const level = [-3, -2, -1, 0];
  const found = assignFrames(level.map((l) => shoot(`x${l + 4}`, [l, l, l, l], RAW_14, l + 9, 2 ** l)));
  assert.deepEqual(said(found), ["light-1", "repeat", "repeat", "repeat"]);
  found.slice(1).forEach(({ shows }, i) => {
    assert.ok(shows.kind === "repeat" && Math.abs(shows.stops - (i + 1)) < 0.02);
  });
});

test("masks, another size and another subject are set aside with a reason (seed 4)", () => {
  const random = seededRandom(4);
  const { width, height } = set;
  const mask = Float32Array.from({ length: 3 * width * height }, (_, i) => (Math.floor(i / 3) % width > 90 ? 1 : 0));
  const other = new Float32Array(3 * width * height);
  for (let k = 0; k < 90; k++) {
    const [x0, y0, side] = [random.uniform() * width, random.uniform() * height, 6 + 20 * random.uniform()];
    const level = random.uniform() * 0.7;
    for (let y = Math.floor(y0); y < Math.min(height, y0 + side); y++) {
      for (let x = Math.floor(x0); x < Math.min(width, x0 + side); x++)
        other.fill(level, 3 * (y * width + x), 3 * (y * width + x) + 3);
    }
  }
  const odd = [
    linearFrame(frameOf("p1", photograph(mask, width, height, CODED_8, 1))),
    linearFrame(frameOf("p2", photograph(other, width, height, CODED_8, 2))),
    linearFrame(frameOf("p3", photograph(other.subarray(0, 3 * width * 100), width, 100, CODED_8, 3))),
  ];
  const frames = [0, 1, 2].map((j) => shoot(`a${j}`, only(j), CODED_8, j + 1));
  const found = assignFrames([...odd, ...frames, shoot("b1", [0, 0, 0, null], CODED_8, 9)]);
  assert.deepEqual(said(found), ["aside", "aside", "aside", "light-1", "light-2", "light-3", "all of 3"]);
  assert.match(found[0]?.why as string, /mask/);
  assert.match(found[1]?.why as string, /subject/);
  assert.match(found[2]?.why as string, /pixels/);
});

test("names give the lights: tags, roles, all, none, two at once", () => {
  const of = (name: string): string => {
    const found = assignByName({ id: "1", name, takenAt: null, light: null }, lights);
    return found ? wordOf(found.shows) : "nothing";
  };
  const [m, f, e] = lights.map(({ id }) => id);
  assert.deepEqual(
    [
      "choir_M_0412.dng",
      "fill-0413.jpg",
      "0414 Edge.tif",
      "IMG_0416_all.jpg",
      "room.png",
      "M+F.jpg",
      "IMG_0415.jpg",
      "face_mask.png",
    ].map(of),
    [m, f, e, "all of 4", "ambient", "all of 2", "nothing", "aside"],
  );
  assert.ok(byNumbers("light2", "light10") < 0);
});

test("numbers in names number the lights where there is no setup", () => {
  const found = assignFrames([2, 0, 1].map((j) => shoot(`light${10 * (j + 1)}.png`, only(j), RAW_14, j + 1)));
  assert.deepEqual(said(found), ["light-30", "light-10", "light-20"]);
});

test("a frame that names itself all is held against all lights, even where they changed too much to be told as its parts", () => {
  const frames = [0, 1, 2, 3].map((j) => shoot(`a${j}`, only(j), RAW_14, j + 1));
  const changed = shoot("b1_all", [-2, 1.5, 2, 1], RAW_14, 8);
  const found = assignFrames([...frames, changed, shoot("b2_room", [], RAW_14, 9)]);
  assert.deepEqual(said(found).slice(4), ["all of 4", "ambient"]);
  assert.equal(found[4]?.by, "name");
});

test("predicted pictures of the setup place every frame, whatever its order and its dials", () => {
  const picture = (shows: Shows, stops: readonly (number | null)[]) => ({
    ...{ shows, width: set.width, height: set.height, rgb: exposureOf(set, stops, stops.length === 0 ? 1 : 0) },
  });
  const predicted = [
    ...lights.map(({ id }, j) => picture({ kind: "light", lightId: id }, only(j))),
    picture({ kind: "together", lightIds: lights.map(({ id }) => id) }, [0, 0, 0, 0]),
    picture({ kind: "ambient" }, []),
  ];
  // Another sitter than the predicted: darker skin, other hair, a turned head.
  const other = renderSet({
    scene: { skin: "dark", hair: "fair" },
    change: (setup) => ({ ...setup, subject: { ...setup.subject, headYawDeg: setup.subject.headYawDeg + 8 } }),
  });
  const frame = (name: string, stops: readonly (number | null)[]): LinearFrame =>
    linearFrame(
      frameFrom(
        other,
        name,
        exposureOf(other, stops).map((v) => 0.7 * v),
        RAW_14,
        Number(name),
      ),
    );
  const frames = [
    frame("1001", [0, 0, 0, 0]),
    frame("1002", [null, null, null, 0.5]),
    frame("1003", [null, -1, null, null]),
  ];
  frames.push(frame("1004", [1, null, null, null]), frame("1005", []), frame("1006", [null, null, 0.4, null]));
  const [m, f, e, h] = lights.map(({ id }) => id);
  assert.deepEqual(said(assignFrames(frames, { lights, predicted })), ["all of 4", h, f, m, "ambient", e]);
});

test("by order: lights as on the ladder, then the brighter of the rest is all and the darker the room", () => {
  const frames = [
    ...lights.map((_, j) => shoot(`${j}`, only(j), RAW_14, j + 1)),
    shoot("7", [], RAW_14),
    shoot("8", [0, 0, 0, 0], RAW_14),
  ];
  assert.deepEqual(said(assignFrames(frames, { lights })), [...lights.map(({ id }) => id), "ambient", "all of 4"]);
});

test("one tap corrects: a person's word stands, the frame that had the place is asked again", () => {
  const frames = lights.map((_, j) => shoot(`${j}`, only(j), RAW_14, j + 1));
  const found = corrected(assignFrames(frames, { lights }), "1", { kind: "light", lightId: lights[0]?.id as string });
  assert.deepEqual(said(found).slice(0, 2), ["aside", lights[0]?.id]);
  assert.deepEqual([found[1]?.by, found[1]?.confidence, found[0]?.confidence], ["person", 1, 0]);
});
