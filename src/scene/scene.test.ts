import assert from "node:assert/strict";
import { test } from "node:test";
import { luminance } from "../colour/index.ts";
import { cameraField, demoSetups, frontOf, headOf, panelNormal, panelOutline, type Setup } from "../setup/index.ts";
import {
  buildScene,
  closestHit,
  hairAbsorption,
  hairMaterial,
  type Mesh,
  newHit,
  newSceneCache,
  newStack,
  type Scene,
  skinColour,
  skinLuminous,
} from "./index.ts";

const setups: readonly Setup[] = demoSetups();
const choir = setups.find((setup) => setup.id === "demo-choir")!;
const scene = buildScene(choir);

function areaOf(mesh: Mesh, first: number, count: number): number {
  let sum = 0;
  for (let t = first; t < first + count; t++) {
    const [a, b, c] = [0, 1, 2].map((k) => [0, 1, 2].map((i) => mesh.positions[3 * mesh.indices[3 * t + k]! + i]!));
    const u = b!.map((x, i) => x - a![i]!);
    const v = c!.map((x, i) => x - a![i]!);
    sum += Math.hypot(u[1]! * v[2]! - u[2]! * v[1]!, u[2]! * v[0]! - u[0]! * v[2]!, u[0]! * v[1]! - u[1]! * v[0]!) / 2;
  }
  return sum;
}

function faceNormal(mesh: Mesh, t: number): number[] {
  return [0, 1, 2].map((i) => mesh.normals[3 * mesh.indices[3 * t]! + i]!);
}

/** First thing a ray meets: group name and distance. */
function look(it: Scene, o: readonly number[], d: readonly number[]): { name: string; t: number } | null {
  const hit = newHit();
  if (!closestHit(it, o[0]!, o[1]!, o[2]!, d[0]!, d[1]!, d[2]!, 1e-5, 100, hit, newStack(it.bvh))) return null;
  const group = it.groups.find(
    (g) => hit.triangle >= g.firstTriangle && hit.triangle < g.firstTriangle + g.triangleCount,
  )!;
  return { name: group.name, t: hit.t };
}

test("[N3] every light's emitting triangles have the area, the place and the direction of the predictor's front, in every demo setup", () => {
  for (const setup of setups) {
    const built = buildScene(setup, { detail: "low", room: false });
    assert.equal(built.emitters.length, setup.lights.length);
    setup.lights.forEach((light, i) => {
      const emitter = built.emitters[i]!;
      const front = frontOf(setup, light);
      assert.equal(emitter.lightId, light.id);
      assert.equal(emitter.areaM2, front.areaM2);
      const area = areaOf(built.mesh, emitter.firstTriangle, emitter.triangleCount);
      assert.ok(Math.abs(area - front.areaM2) <= 2e-5 * front.areaM2, `${light.tag}: ${area} against ${front.areaM2}`);
      for (let t = emitter.firstTriangle; t < emitter.firstTriangle + emitter.triangleCount; t++) {
        const n = faceNormal(built.mesh, t);
        const cos = n[0]! * front.normal[0] + n[1]! * front.normal[1] + n[2]! * front.normal[2];
        assert.ok(cos > 1 - 1e-5, `${light.tag} looks ${cos}`);
        const material = built.materials[built.mesh.materials[t]!]!;
        assert.deepEqual(material, { kind: "emitter", name: `front of ${light.tag}`, emitterIndex: i });
      }
    });
  }
});

test("[N2] the nose tip stands at P0 in every pose: a ray from ahead meets the head within 1 mm of it", () => {
  for (const [headYawDeg, headPitchDeg, bodyYawDeg] of [
    [0, 0, 0],
    [30, 0, 15],
    [-25, -12, -40],
    [0, 15, 0],
  ] as const) {
    const setup: Setup = {
      ...choir,
      lights: [],
      panels: [],
      subject: { ...choir.subject, headYawDeg, headPitchDeg, bodyYawDeg },
    };
    const built = buildScene(setup, { detail: "low", room: false });
    const { forward } = headOf(setup)!;
    const nose = [0, setup.subject.noseHeightM, 0];
    const from = nose.map((x, k) => x + 0.5 * forward[k]!);
    const seen = look(
      built,
      from,
      forward.map((x) => -x),
    );
    assert.equal(seen?.name, "head");
    assert.ok(Math.abs(seen.t - 0.5) < 1e-3, `${headYawDeg}/${headPitchDeg}: ${seen.t}`);
  }
});

test("the same setup gives the same bytes, and options change only what they name", () => {
  const again = buildScene(choir);
  assert.deepEqual(again.mesh.positions, scene.mesh.positions);
  assert.deepEqual(again.bvh.words, scene.bvh.words);
  const dark = buildScene(choir, { skin: "dark" });
  assert.deepEqual(dark.mesh.positions, scene.mesh.positions);
  assert.notDeepEqual(dark.materials, scene.materials);
});

test("[N10] a scene built with what an earlier one left in the cache has the same bytes as one built afresh", () => {
  const cache = newSceneCache();
  buildScene(choir, { detail: "low" }, cache);
  const [main, ...others] = choir.lights;
  const polar = { kind: "polar", azimuthDeg: -50, distanceM: 1.6, heightM: 1.9 } as const;
  const states: readonly Setup[] = [
    { ...choir, lights: [{ ...main!, place: polar }, ...others] },
    { ...choir, subject: { ...choir.subject, headYawDeg: 20 } },
    { ...choir, camera: { ...choir.camera, position: { ...choir.camera.position, xM: 0.7 } } },
    { ...choir, panels: [], room: { ...choir.room, heightM: 3.2 } },
  ];
  for (const state of states) {
    const fresh = buildScene(state, { detail: "low" });
    const again = buildScene(state, { detail: "low" }, cache);
    assert.deepEqual(again, fresh);
  }
});

test("[N9] triangles are bounded: one sitter under 150,000, small detail under 55,000, six sitters under 300,000", () => {
  for (const cut of ["bob", "long", "short", "tied"] as const) {
    const [full, low] = (["full", "low"] as const).map((detail) => buildScene(choir, { detail, cut }));
    assert.ok(full!.mesh.materials.length < 150_000, `${cut}: ${full!.mesh.materials.length}`);
    assert.ok(low!.mesh.materials.length < 55_000, `${cut}: ${low!.mesh.materials.length}`);
  }
  const group = [-1.5, -0.9, -0.3, 0.3, 0.9, 1.5].map((xM, i) => ({ xM, yM: 0, zM: i % 2 === 0 ? 0 : -0.6 }));
  const six = buildScene({ ...choir, subject: { ...choir.subject, group } });
  assert.ok(six.mesh.materials.length < 300_000, String(six.mesh.materials.length));
  assert.ok(six.groups.some((g) => g.name === "hair#6"));
});

test("[N6] groups cover every triangle once, in order, and vertices stay within their group", () => {
  let next = 0;
  for (const group of scene.groups) {
    assert.equal(group.firstTriangle, next, group.name);
    next += group.triangleCount;
    for (let i = 3 * group.firstTriangle; i < 3 * next; i++) {
      const v = scene.mesh.indices[i]!;
      assert.ok(v >= group.firstVertex && v < group.firstVertex + group.vertexCount, group.name);
    }
  }
  assert.equal(next, scene.mesh.materials.length);
});

test("[N4] [N5] normals are unit vectors, tints and reflectances never exceed 1: nothing makes light", () => {
  const { normals, tints } = scene.mesh;
  for (let i = 0; i < normals.length; i += 3) {
    const l = Math.hypot(normals[i]!, normals[i + 1]!, normals[i + 2]!);
    assert.ok(Math.abs(l - 1) < 1e-4, `vertex ${i / 3}: ${l}`);
    for (let k = 0; k < 3; k++) assert.ok(tints[i + k]! >= 0 && tints[i + k]! <= 1);
  }
  for (const material of scene.materials)
    if ("reflectance" in material) for (const c of material.reflectance) assert.ok(c >= 0 && c <= 1, material.name);
});

test("the camera is the document's: same axes and field, and its middle ray meets the sitter", () => {
  const field = cameraField(choir);
  const { camera } = scene;
  assert.deepEqual(camera.position, field.position);
  assert.ok(Math.abs(Math.tan((camera.fovYDeg * Math.PI) / 360) - field.tanHalfHeight) < 1e-12);
  assert.ok(Math.abs(camera.aspect - field.tanHalfWidth / field.tanHalfHeight) < 1e-12);
  assert.equal(camera.lensRadiusM, 0);
  const f56 = buildScene(choir, { depthOfField: true, detail: "low", room: false }).camera;
  assert.ok(Math.abs(f56.lensRadiusM - choir.camera.focalLengthMm / 2000 / 2 ** 2.5) < 1e-9);
  const seen = look(scene, camera.position, camera.forward);
  assert.ok(seen !== null && ["head", "body"].includes(seen.name), seen?.name ?? "nothing");
});

test("a ray from the nose toward each light meets its front, or what stands before it, never its shell", () => {
  choir.lights.forEach((light) => {
    const front = frontOf(choir, light);
    const from = front.centre.map((c, k) => c + 0.2 * front.normal[k]!);
    const seen = look(
      scene,
      from,
      front.normal.map((x) => -x),
    );
    assert.equal(seen?.name, `front:${light.id}`);
    assert.ok(Math.abs(seen.t - 0.2) < 1e-4);
  });
});

test("a panel's working face lies in the document's plane and looks along its normal", () => {
  for (const panel of choir.panels) {
    const group = scene.groups.find((g) => g.name === `panel:${panel.id}`)!;
    const want = panelNormal(panel);
    const n = faceNormal(scene.mesh, group.firstTriangle);
    assert.ok(n[0]! * want[0] + n[1]! * want[1] + n[2]! * want[2] > 1 - 1e-5);
    const [corner] = panelOutline(choir, panel);
    const v = scene.mesh.indices[3 * group.firstTriangle]! * 3;
    corner!.forEach((x, k) => {
      assert.ok(Math.abs(scene.mesh.positions[v + k]! - x) < 1e-6);
    });
    assert.ok(Math.abs(areaOf(scene.mesh, group.firstTriangle, 2) - panel.widthM * panel.heightM) < 1e-5);
  }
});

test("the room is closed: every ray from the nose ends somewhere (1000 rays, seed 9)", () => {
  let state = 9;
  const random = (): number => {
    state ^= state << 13;
    state ^= state >>> 17;
    state ^= state << 5;
    return (state >>> 0) / 4294967296;
  };
  for (let i = 0; i < 1000; i++) {
    const z = 2 * random() - 1;
    const a = 2 * Math.PI * random();
    const r = Math.sqrt(1 - z * z);
    assert.notEqual(look(scene, [0, 1.25, 0.3], [r * Math.cos(a), z, r * Math.sin(a)]), null);
  }
});

test("[N6] equipment: hidden stays in the tree and is marked, absent is gone; the fronts stay in both", () => {
  const hidden = buildScene(choir, { equipment: "hidden", detail: "low" });
  const absent = buildScene(choir, { equipment: "absent", detail: "low" });
  const shell = hidden.groups.find((g) => g.kind === "shell")!;
  assert.ok(shell.hiddenFromCamera && hidden.hidden[shell.firstTriangle] === 1);
  assert.ok(!absent.groups.some((g) => g.kind === "shell" || g.kind === "stand"));
  assert.equal(absent.groups.filter((g) => g.kind === "front").length, choir.lights.length);
});

test("an object setup has a table and its things, the first around the reference point, and no head", () => {
  const vase = setups.find((setup) => setup.subject.kind === "object")!;
  const built = buildScene(vase, { objects: ["vase", "sphere", "cylinder", "box", "bottle"] });
  assert.equal(built.groups.filter((g) => g.kind === "object").length, 5);
  assert.ok(!built.groups.some((g) => g.kind === "head"));
  const seen = look(built, [0, vase.subject.noseHeightM, 1], [0, 0, -1]);
  assert.equal(seen?.name, "object");
  assert.ok(Math.abs(seen.t - 1) < 0.01, `near side at ${seen.t}`);
});

test("skin of every class has exactly its luminous reflectance, is reddish, and classes run from 0.42 down to 0.075 (domain 5.10, range from memory)", () => {
  const values = Object.values(skinLuminous);
  for (let i = 1; i < values.length; i++) assert.ok(values[i]! < values[i - 1]!);
  assert.ok(values[0]! >= 0.35 && values[0]! <= 0.45 && values.at(-1)! >= 0.06 && values.at(-1)! <= 0.1);
  for (const Y of values) {
    const [r, g, b] = skinColour(Y);
    assert.ok(Math.abs(luminance([r, g, b]) - Y) < 1e-12);
    assert.ok(r > g && g > b && r <= 1);
  }
});

test("hair absorbs by melanin after d'Eon et al. 2011 and Chiang et al. 2016, with the coefficients of pbrt's hair material; black 8, brown 1.3, darkest strands of blond 0.3 as its documentation says", () => {
  const close = (a: readonly number[], b: readonly number[]): void =>
    a.forEach((x, k) => {
      assert.ok(Math.abs(x - b[k]!) < 1e-12);
    });
  close(hairAbsorption(1, 0), [0.419, 0.697, 1.37]);
  close(hairAbsorption(0, 1), [0.187, 0.4, 1.05]);
  const order = (["black", "dark", "mid", "fair", "grey"] as const).map((c) => hairMaterial(c).absorption);
  for (let i = 1; i < order.length; i++)
    for (let k = 0; k < 3; k++) assert.ok(order[i]![k]! < order[i - 1]![k]!, `class ${i}`);
  assert.equal(hairMaterial("black").eumelanin, 8);
  assert.equal(hairMaterial("mid").eumelanin, 1.3);
  assert.equal(hairMaterial("fair", 2).eumelanin, 0.3);
});

test("eyes follow the camera: the iris of each eye faces the lens within a degree", () => {
  const built = buildScene(choir, { detail: "low", room: false });
  const eyes = built.groups.find((g) => g.name === "eyes")!;
  const cornea: number[][] = [];
  for (let t = eyes.firstTriangle; t < eyes.firstTriangle + eyes.triangleCount; t++) {
    const material = built.materials[built.mesh.materials[t]!]!;
    if (material.kind === "glass") cornea.push([0, 1, 2].map((k) => built.mesh.indices[3 * t + k]!));
  }
  for (const side of [1, -1]) {
    // The mean of a cap's normals is its axis.
    const mean = [0, 0, 0];
    let at = [0, 0, 0];
    for (const v of cornea.flat()) {
      if (Math.sign(built.mesh.positions[3 * v]!) !== side) continue;
      for (let k = 0; k < 3; k++) mean[k]! += built.mesh.normals[3 * v + k]!;
      at = [0, 1, 2].map((k) => built.mesh.positions[3 * v + k]!);
    }
    const l = Math.hypot(...mean);
    const to = at.map((x, k) => built.camera.position[k]! - x);
    const cos = mean.reduce((s, x, k) => s + (x / l) * (to[k]! / Math.hypot(...to)), 0);
    assert.ok((Math.acos(Math.min(1, cos)) * 180) / Math.PI < 1, `eye ${side}: ${cos}`);
  }
});

test("a group takes hair and spectacles from the list of sitters where it names as many, in their order", () => {
  const group = [-0.5, 0, 0.5].map((xM) => ({ xM, yM: 0, zM: 0 }));
  const sitter = choir.sitters[0]!;
  const sitters = [
    { ...sitter, id: "b", order: "b", hair: "black", spectacles: true },
    { ...sitter, id: "a", order: "a", hair: "grey", spectacles: false },
    { ...sitter, id: "c", order: "c", hair: "mid", spectacles: false },
  ] as const;
  const together = buildScene({ ...choir, sitters, subject: { ...choir.subject, spectacles: null, group } });
  const hairOf = (name: string): string => {
    const { firstTriangle } = together.groups.find((g) => g.name === name)!;
    return together.materials[together.mesh.materials[firstTriangle]!]!.name;
  };
  assert.match(hairOf("hair"), /grey/);
  assert.match(hairOf("hair#2"), /black/);
  assert.match(hairOf("hair#3"), /mid/);
  const worn = together.groups.filter((g) => g.kind === "spectacles").map((g) => g.name);
  assert.deepEqual(worn, ["spectacles#2"]);
  // Too few names: everyone has the subject's hair.
  const few = buildScene({ ...choir, sitters: [sitters[0]], subject: { ...choir.subject, hair: "dark", group } });
  assert.ok(few.materials.every((m) => m.kind !== "hair" || /dark|brows/.test(m.name)));
});

test("in every pose eyes stand open between their lids and the back of the head is hair: rays along the head's own axes", () => {
  for (const cut of ["bob", "short", "tied", "long"] as const) {
    for (const [headYawDeg, headPitchDeg, bodyYawDeg] of [
      [0, 0, 0],
      [35, 8, 10],
      [-60, -10, -30],
    ] as const) {
      const subject = { ...choir.subject, headYawDeg, headPitchDeg, bodyYawDeg, spectacles: null };
      const setup: Setup = { ...choir, lights: [], panels: [], subject };
      const gaze = { azimuthDeg: 0, elevationDeg: 0 };
      const built = buildScene(setup, { cut, gaze, detail: "low", room: false });
      const { nose, right, up, forward } = headOf(setup)!;
      const point = (x: number, y: number, z: number): number[] =>
        nose.map((c, k) => c + x * right[k]! + y * up[k]! + z * forward[k]!);
      const back = forward.map((c) => -c);
      for (const side of [1, -1]) {
        assert.equal(look(built, point(side * 0.0315, 0.032, 0.3), back)?.name, "eyes", `${cut}, yaw ${headYawDeg}`);
        // The cheek, by contrast, is skin.
        assert.equal(look(built, point(side * 0.035, -0.005, 0.3), back)?.name, "head");
      }
      assert.equal(look(built, point(0, 0.07, -0.6), forward)?.name, "hair");
      assert.equal(
        look(
          built,
          point(0, 0.5, -0.12),
          up.map((c) => -c),
        )?.name,
        "hair",
      );
    }
  }
});
