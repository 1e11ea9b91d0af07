/** The invented book against its scenario; the kit and room filters on it. */

import assert from "node:assert/strict";
import { test } from "node:test";
import { DISC, DOME, frontFactor } from "../photometry/index.ts";
import { normalize, subtract } from "../units/index.ts";
import {
  demoKit,
  demoSetups,
  emptyKit,
  fitsRoom,
  frontOf,
  hasSpace,
  kitCanBuild,
  kitNeeds,
  kitOffers,
  type Light,
  latestReading,
  occludersOf,
  overlapFaults,
  parseKit,
  parseSetup,
  pointOf,
  type Room,
  type Setup,
  spaceNeeds,
  targetAv,
} from "./index.ts";

const kit = demoKit();
const book = demoSetups();
const byTitle = (title: string): Setup => book.find((s) => s.title === title) as Setup;
const rehearsal = kit.rooms[0] as Room;

test("[S60] seven setups, all marked invented, all valid; the kit too", () => {
  assert.deepEqual(
    book.map((s) => s.title),
    [
      "Choir headshots",
      "Luthier at the bench",
      "Stoneware vase on paper",
      "One light and a white card",
      "Panel interview (LED)",
      "Clamshell",
      "White full-length",
    ],
  );
  for (const setup of book) {
    assert.ok(setup.invented);
    assert.ok(parseSetup(JSON.parse(JSON.stringify(setup))).ok, setup.title);
    assert.deepEqual(overlapFaults(setup), [], setup.title);
  }
  assert.ok(parseKit(JSON.parse(JSON.stringify(kit))).ok);
});

test("[S60] the choir stands as the scenario's table says", () => {
  const choir = byTitle("Choir headshots");
  const rows = choir.lights.map((l) =>
    l.place.kind === "polar" ? [l.tag, l.place.distanceM, l.place.heightM, l.place.azimuthDeg, targetAv(choir, l)] : [],
  );
  assert.deepEqual(rows, [
    ["M", 1.25, 1.78, -45, 5],
    ["F", 2, 1.6, 25, 2],
    ["E", 1.5, 1.35, 128, 3],
    ["H", 1.05, 1.99, -165, 2],
  ]);
  assert.equal(choir.sitters.length, 24);
  for (const panel of choir.panels) {
    const { place } = panel;
    assert.equal(place.kind, "cartesian");
    if (place.kind === "cartesian")
      assert.ok(Math.abs(Math.hypot(place.xM, place.zM) - (place.xM > 0 ? 0.75 : 0.9)) < 0.001);
  }
});

/** One light's reading at full dial by the plain chain: energy, what the front lets out, its factor at the meter. */
function fullAv(setup: Setup, light: Light): number {
  const { head, modifier } = light;
  const energy = head.kind === "flash" ? (head.energyWs ?? 0) : (head.powerW ?? 0) * setup.exposure.shutterS;
  const flux = energy * head.efficacy * modifier.transmission * 2 ** (modifier.learnedStops + head.learnedStops);
  const front = frontOf(setup, light);
  const point = pointOf(setup, light.meterAt.point);
  const axis = light.meterAt.aim === "light" ? normalize(subtract(front.centre, point.position)) : point.normal;
  const { head: skull, body } = occludersOf(setup);
  const dome = light.meterAt.receptor === "dome";
  const factor = frontFactor(front, point.position, axis, dome ? DOME : DISC, {
    occluders: [...(skull === null ? [] : [skull]), ...body],
  });
  return Math.log2((flux * factor * setup.exposure.iso) / (dome ? setup.meter.domeC : setup.meter.discC));
}

// The plain chain leaves out the light that walls give back: to a far fill in a white room nearly half a stop.
test("[S60] stored dials meet their targets within a third, F within a half; H cannot go low enough", () => {
  for (const setup of book) {
    for (const light of setup.lights) {
      const off = fullAv(setup, light) + light.dialStops - targetAv(setup, light);
      if (setup.id === "demo-choir" && light.tag === "H") assert.ok(off > 0.3 && off < 0.5, `H ${off}`);
      else assert.ok(Math.abs(off) < (light.role === "fill" ? 1 / 2 : 1 / 3), `${setup.title} ${light.tag} ${off}`);
    }
  }
});

test("[S60] invented readings lie within half a stop of what the plain chain predicts", () => {
  for (const setup of book) {
    for (const light of setup.lights) {
      const reading = latestReading(setup, light.id);
      if (reading === null) continue;
      const off = reading.av - (fullAv(setup, light) + (reading.dialStops ?? 0));
      assert.ok(Math.abs(off) < 0.5, `${setup.title} ${light.tag} ${off}`);
    }
  }
});

test("[S41] six of seven fit the rehearsal room; the White full-length is 1.1 m too deep", () => {
  const misfits = book.filter((s) => !fitsRoom(rehearsal, s).ok);
  assert.deepEqual(
    misfits.map((s) => s.title),
    ["White full-length"],
  );
  const fit = fitsRoom(rehearsal, byTitle("White full-length"));
  assert.deepEqual(
    fit.faults.map((f) => f.code),
    ["room-short"],
  );
  assert.match(fit.faults[0]?.what ?? "", /1\.1 m too short for White full-length/);
  assert.match(fit.faults[0]?.mend ?? "", /6\.5 m/);
});

test("[S41] the quick answer from the needs is the slow one; a cross that is offered has room on all sides", () => {
  for (const setup of book) {
    const needs = spaceNeeds(setup);
    for (const room of kit.rooms) {
      const fit = fitsRoom(room, setup);
      assert.equal(hasSpace(room, needs), fit.ok);
      if (fit.cross === null) continue;
      assert.ok(fit.cross.fromLeftM >= needs.leftM - 1e-9 && room.widthM - fit.cross.fromLeftM >= needs.rightM - 1e-9);
      assert.ok(fit.cross.fromBackM >= needs.backM - 1e-9 && room.depthM - fit.cross.fromBackM >= needs.frontM - 1e-9);
    }
  }
});

test("[S40] the kit can build all but the interview, which needs three panels", () => {
  const missing = book.map((s) => [s.title, kitCanBuild(kit, s).missing] as const).filter(([, m]) => m.length > 0);
  assert.deepEqual(missing, [["Panel interview (LED)", ["needs 3 LED panel 60 W, 1 here"]]]);
});

test("[S40] needs are among the offers exactly when the kit can build", () => {
  for (const from of [kit, emptyKit()]) {
    const offers = new Set(kitOffers(from));
    for (const setup of book) {
      const needs = kitNeeds(setup);
      assert.equal(new Set(needs).size, needs.length);
      assert.equal(
        needs.every((token) => offers.has(token)),
        kitCanBuild(from, setup).ok,
        setup.title,
      );
    }
  }
});

test("[S51] a light pushed through a wall or into the piano is named", () => {
  const choir = byTitle("Choir headshots");
  const moved = (place: Light["place"]): Setup => ({ ...choir, lights: [{ ...(choir.lights[0] as Light), place }] });
  const out = overlapFaults(moved({ kind: "polar", azimuthDeg: -90, distanceM: 2, heightM: 1.5 }));
  assert.deepEqual(
    out.map((f) => [f.code, f.where]),
    [["does-not-fit", "lights[0].place"]],
  );
  const piano = overlapFaults(moved({ kind: "cartesian", xM: -1.5, yM: 1.6, zM: 1.6 }));
  assert.ok(piano.some((f) => f.code === "in-the-way"));
  const low = overlapFaults(moved({ kind: "polar", azimuthDeg: -45, distanceM: 2, heightM: 2.8 }));
  assert.ok(low.some((f) => /ceiling/.test(f.what)));
});
