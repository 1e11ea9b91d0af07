/** Every check raises its caution on a planted fault, and every mend on offer removes it when it is carried out. */

import assert from "node:assert/strict";
import { test } from "node:test";
import {
  applyEdits,
  demoKit,
  demoSetups,
  type Edit,
  type Kit,
  type Light,
  lightBody,
  type Setup,
} from "../setup/index.ts";
import { createSolver } from "../solve/index.ts";
import { expectOk } from "../units/index.ts";
import { boomSteps, type CareReport, type Caution, checkSetup, deferral, generalCautions } from "./index.ts";

const kit: Kit = demoKit();
const solver = createSolver();
const recheck = (setup: Setup): CareReport => solver.report(setup);
const demo = (id: string): Setup => demoSetups().find((setup) => setup.id === id) as Setup;
const edited = (setup: Setup, ...edits: readonly Edit[]): Setup => expectOk(applyEdits(setup, edits));
const light = (setup: Setup, tag: string): Light => setup.lights.find((each) => each.tag === tag) as Light;
const set = (setup: Setup, tag: string, change: Partial<Light>): Setup =>
  edited(setup, { kind: "light", id: light(setup, tag).id, set: change });
const rig = (setup: Setup, tag: string, change: Partial<Light["rig"]>): Setup =>
  set(setup, tag, { rig: { ...light(setup, tag).rig, ...change } });
const check = (setup: Setup, withKit: Kit | null = kit): readonly Caution[] =>
  checkSetup(setup, recheck(setup), withKit, recheck);
const heavy = (list: readonly Caution[]): readonly string[] =>
  list.filter(({ level }) => level === "stop" || level === "care").map(({ id }) => id);
const named = (list: readonly Caution[], id: string): Caution => {
  const found = list.find((caution) => caution.id === id);
  assert.ok(found, `${id} is not among ${list.map((caution) => caution.id).join(", ")}`);
  return found;
};
const weight = (caution: Caution | undefined): number =>
  ({ stop: 3, care: 2, note: 1, done: 0 })[caution?.level ?? "done"];

/** Carries out every mend: the caution is gone or lighter, and nothing else is new. */
function mendsHold(setup: Setup, caution: Caution, withKit: Kit | null = kit): void {
  const judged = (of: Setup): readonly Caution[] => checkSetup(of, recheck(of), withKit);
  const before = new Map(judged(setup).map((each) => [each.id, weight(each)]));
  for (const mend of caution.mends.filter(({ edits }) => edits.length > 0)) {
    const after = judged(edited(setup, ...mend.edits));
    const own = after.find(({ id }) => id === caution.id);
    assert.ok(weight(own) < weight(caution), `${mend.label} leaves ${caution.id}`);
    const worse = after.filter((each) => weight(each) >= 2 && weight(each) > (before.get(each.id) ?? 0));
    assert.deepEqual(
      worse.map(({ id }) => id),
      [],
      `${mend.label} raises another`,
    );
  }
}

/** The fault is raised at this level, and at least one button mends it. */
function raises(setup: Setup, id: string, level: Caution["level"], withKit: Kit | null = kit): Caution {
  const caution = named(check(setup, withKit), id);
  assert.equal(caution.level, level, caution.what);
  assert.ok(
    caution.mends.some(({ edits }) => edits.length > 0),
    `${id} has no mend`,
  );
  mendsHold(setup, caution, withKit);
  return caution;
}

/** One light and a card with a bag on the stand. */
const clean = rig(demo("demo-one-card"), "M", { sandbagKg: 10 });
const choir = demo("demo-choir");

test("[C20] a clean setup has nothing but notes and what was found in order", () => {
  assert.deepEqual(heavy(check(clean)), []);
});

test("[C20] cautions come heaviest first, each with what, why and source, and defer where somebody can be hurt", () => {
  const list = check(choir);
  const weights = list.map(weight);
  assert.deepEqual(
    weights,
    [...weights].sort((a, b) => b - a),
  );
  assert.equal(new Set(list.map(({ id }) => id)).size, list.length);
  for (const caution of list) {
    assert.ok(caution.what.length > 0 && caution.why.length > 0 && caution.source.length > 0, caution.id);
    const hurts = ["boom", "tipping", "overhead", "mains", "heat", "capacitors", "flashing", "cables"].includes(
      caution.topic,
    );
    if (hurts && caution.level !== "done") assert.equal(caution.defer, deferral, caution.id);
  }
});

test("[C21] without a new prediction no mend is offered that moves light, and each one on offer holds", () => {
  const list = checkSetup(choir, recheck(choir), kit);
  for (const caution of list) {
    for (const edit of caution.mends.flatMap(({ edits }) => edits)) {
      assert.ok(edit.kind !== "light" || !("place" in edit.set), caution.id);
    }
    mendsHold(choir, caution);
  }
});

test("[C1] a stand that tips below 10° wants a look, below 6° stops; a bag of the kit mends it", () => {
  const bare = rig(clean, "M", { sandbagKg: 0 });
  const { mends } = raises(bare, "tipping:light-m", "care");
  assert.match(mends[0]?.label ?? "", /5 kg/);
  const small = { ...light(bare, "M").support, footRadiusM: 0.2 };
  raises(set(bare, "M", { support: small }), "tipping:light-m", "stop");
});

test("[C1] a leg turned under the load mends what a side under the load does not hold", () => {
  const panels = demo("demo-interview");
  const caution = named(check(panels), "tipping:light-f");
  assert.ok(caution.mends.some(({ label }) => label.startsWith("a leg of F under the load")));
  mendsHold(panels, caution);
});

test("[C2] no bag is offered that the kit does not have", () => {
  const bare = rig(clean, "M", { sandbagKg: 0 });
  const without = named(check(bare, { ...kit, sandbagsKg: [] }), "tipping:light-m");
  assert.ok(without.mends.every(({ label }) => !label.includes("bag")));
  const tens = named(check(bare, { ...kit, sandbagsKg: [10, 10] }), "tipping:light-m");
  assert.ok(tens.mends.some(({ label }) => label.startsWith("10 kg bag")));
});

test("[C3] a boom out of balance is lowered, held and rebalanced; the edit records the figure", () => {
  const boom = light(choir, "H").rig.boom as NonNullable<Light["rig"]["boom"]>;
  const light4 = rig(choir, "H", { boom: { ...boom, counterweightKg: 4.8 } });
  const caution = raises(light4, "boom:light-h", "care");
  assert.match(
    caution.mends[0]?.steps.join(" ") ?? "",
    /Lower the arm.*second person.*Counterweight 5\.4 kg.*Unlock only to balance/,
  );
  raises(rig(choir, "H", { boom: { ...boom, counterweightKg: 0 } }), "boom:light-h", "stop");
});

test("[C3] an arm planned longer than it is stops, and the stand comes nearer", () => {
  const short = { ...light(choir, "H").support, boomReachM: 0.9 };
  const caution = named(check(set(choir, "H", { support: short })), "boom-arm:light-h");
  assert.equal(caution.level, "stop");
  mendsHold(set(choir, "H", { support: short }), caution);
});

test("[C3] a counterweight over somebody stops; at head height it is marked", () => {
  const boom = light(choir, "H").rig.boom as NonNullable<Light["rig"]["boom"]>;
  named(check(choir), "boom-mark:light-h");
  // The stand on the other side of the sitter: the tail hangs behind the head.
  const over = rig(choir, "H", { boom: { ...boom, standXM: 0.2, standZM: 0.35 } });
  const list = check(
    edited(over, {
      kind: "subject",
      set: {
        group: [
          { xM: 0, yM: 0, zM: 0 },
          { xM: 0.5, yM: 0, zM: 1.3 },
        ],
      },
    }),
  );
  assert.equal(named(list, "boom-tail:light-h").level, "stop");
});

test("[C3] the boom is built bag first, sitter last, and struck counterweight first, bag last", () => {
  const { build, strike } = boomSteps(choir, light(choir, "H"));
  assert.match(build[0] ?? "", /nobody under it.*Bag.*10 kg/);
  assert.match(build.at(-1) ?? "", /Only now the sitter/);
  const at = (list: readonly string[], word: RegExp): number => list.findIndex((step) => word.test(step));
  assert.ok(at(build, /^Load H/) < at(build, /^Counterweight/) && at(build, /^Counterweight/) < at(build, /^Bond/));
  assert.ok(at(strike, /Counterweight off first/) < at(strike, /Bag off last/));
  assert.deepEqual(boomSteps(choir, light(choir, "M")), { build: [], strike: [] });
});

test("[C4] nothing hangs over the sitter without a bond", () => {
  const caution = raises(rig(choir, "H", { bonded: false }), "overhead:light-h", "stop");
  assert.match(caution.mends[0]?.steps.join(" ") ?? "", /Nobody under it/);
  assert.equal(named(check(choir), "overhead:light-h").level, "done");
});

test("[C21] a mend that would raise another caution is not offered: no bond left in the kit", () => {
  const caution = named(check(rig(choir, "H", { bonded: false }), { ...kit, bonds: 0 }), "overhead:light-h");
  assert.equal(caution.level, "stop");
  assert.deepEqual(caution.mends, []);
});

test("[C4] a light on a ceiling rail is bonded too", () => {
  const rail = { ...light(clean, "M").support, kind: "ceiling" as const };
  raises(rig(set(clean, "M", { support: rail }), "M", { bonded: false }), "overhead:light-m", "stop");
});

test("[C5] a stand that narrows the way out is named, and turning its legs or walking it round the nose widens it", () => {
  const caution = named(check(choir), "way-out:room");
  assert.ok(weight(caution) >= 2 && /F's/.test(caution.what), caution.what);
  assert.ok(caution.mends.length > 0);
  mendsHold(choir, caution);
});

test("[C5] legs toward the narrow place are turned until a metre is free", () => {
  // A high light, so that only its legs stand in the way, with a foot toward the passage.
  const { room } = clean;
  const place = { kind: "cartesian", xM: -2.4, yM: 2.6, zM: 1.2 } as const;
  const hall = edited(rig(set(clean, "M", { place }), "M", { legAzimuthDeg: 90 }), {
    kind: "room",
    set: { widthM: 8, depthM: 8, heightM: 3.4, crossFromLeftM: 4, furniture: [] },
  });
  const [x, , z] = lightBody(hall, light(hall, "M")).stand?.foot ?? [0, 0, 0];
  const shelf = (id: string, from: number, to: number) => ({
    id,
    name: id,
    fromLeftM: from + 4,
    fromBackM: z - 0.1 + room.crossFromBackM,
    widthM: to - from,
    depthM: 0.2,
    heightM: 2,
  });
  const door = {
    ...(room.openings[1] as Setup["room"]["openings"][number]),
    wall: "front" as const,
    fromM: 1.5,
    opensInward: false,
  };
  // Flat side toward it: 1.23 − 0.21 = 1.02 m; a foot toward it: 0.81 m.
  const furniture = [shelf("shelf", -4, x - 0.55), shelf("long-shelf", x + 1.23, 4)];
  const narrow = edited(hall, { kind: "room", set: { furniture, openings: [door] } });
  const caution = raises(narrow, "way-out:room", "care");
  assert.ok(
    Math.abs((caution.figures[0]?.value ?? 0) - (1.23 - light(hall, "M").support.footRadiusM)) < 1e-3,
    caution.what,
  );
  const words = caution.mends[0]?.label ?? "";
  assert.ok(words.startsWith("turn M's legs: 1.0 m"), words);
});

test("[C5] an inward door that meets a stand either way is hooked open by hand", () => {
  const { room } = clean;
  const block = { id: "box", name: "box", fromLeftM: 3.6, fromBackM: 4.7, widthM: 0.2, depthM: 0.15, heightM: 1 };
  const caution = named(
    check(edited(clean, { kind: "room", set: { furniture: [...room.furniture, block] } })),
    "way-out-leaf:door-1",
  );
  assert.equal(caution.level, "care");
  assert.ok(caution.mends.every(({ edits, steps }) => edits.length === 0 && steps.length > 0));
});

test("[C6] a front through a wall stops and is moved inward; legs through a wall are turned", () => {
  const wide = edited(clean, { kind: "room", set: { crossFromLeftM: 1.3 } });
  assert.equal(named(check(wide), "fit:light-m").level, "stop");
  mendsHold(wide, named(check(wide), "fit:light-m"));
  const toWall = rig(clean, "M", { legAzimuthDeg: -90 });
  const [footX] = lightBody(toWall, light(toWall, "M")).stand?.foot ?? [0, 0, 0];
  raises(edited(toWall, { kind: "room", set: { crossFromLeftM: 0.35 - footX } }), "fit-legs:light-m", "stop");
});

test("[C6] a stand in the furniture, a front through a panel, a light beside a detector", () => {
  const piece = { id: "table", name: "table", fromLeftM: 0.6, fromBackM: 2.9, widthM: 0.8, depthM: 0.6, heightM: 1.6 };
  const table = edited(clean, { kind: "room", set: { furniture: [piece] } });
  assert.equal(named(check(table), "clearance-table:light-m").level, "stop");
  const panel = clean.panels[0] as Setup["panels"][number];
  const through = edited(clean, {
    kind: "panel",
    id: panel.id,
    set: { place: { kind: "cartesian", xM: -0.75, yM: 1.6, zM: 0.75 } },
  });
  assert.equal(named(check(through), `clearance-${panel.id}:light-m`).level, "stop");
  const detector = edited(clean, { kind: "room", set: { detectors: [{ xM: -0.75, yM: 2.5, zM: 0.75 }] } });
  raises(detector, "clearance-detector-0:light-m", "care");
});

test("[C7] lamps over 80 % of a circuit want a look, over all of it stop; another circuit or no lamps mends it", () => {
  const hot = { ...light(clean, "M").head, modellingW: 300 };
  const weak = (amps: number): Setup =>
    edited(
      set(clean, "M", {
        head: hot,
        modellingLampOn: true,
        modifier: { ...light(clean, "M").modifier, maxModellingW: 650 },
      }),
      {
        kind: "room",
        set: { circuits: clean.room.circuits.map((circuit, i) => (i === 0 ? { ...circuit, amps } : circuit)) },
      },
    );
  raises(weak(1.6), "mains:circuit-1", "care");
  const { mends } = raises(weak(1), "mains:circuit-1", "stop");
  assert.ok(mends.some(({ label }) => label.includes("socket circuit 2")));
});

test("[C7] a head without a circuit is told and put on one", () => {
  raises(set(clean, "M", { circuitId: null }), "mains-none:light-m", "note");
});

test("[C7] NEC is named where it rules, at 120 V", () => {
  const american = edited(clean, {
    kind: "room",
    set: { circuits: [{ id: "circuit-1", name: "c", volts: 120, amps: 15 }] },
  });
  assert.match(named(check(american), "mains:circuit-1").source, /^lasting loads.*NEC 210\.19\(A\), 210\.20\(A\)/);
});

test("[C8] a lamp over the front's limit stops; in a closed front without one 150 W want a look, 250 W stop", () => {
  const burning = (modellingW: number, maxModellingW: number | null): Setup =>
    set(clean, "M", {
      head: { ...light(clean, "M").head, modellingW },
      modellingLampOn: true,
      modifier: { ...light(clean, "M").modifier, maxModellingW },
    });
  raises(burning(250, 150), "heat:light-m", "stop");
  raises(burning(200, null), "heat:light-m", "care");
  raises(burning(300, null), "heat:light-m", "stop");
  assert.ok(!check(burning(140, null)).some(({ id }) => id === "heat:light-m"));
});

test("[C8] a hot lamp under the ceiling and against the paper", () => {
  const hot = set(clean, "M", { head: { ...light(clean, "M").head, modellingW: 150 }, modellingLampOn: true });
  raises(edited(hot, { kind: "room", set: { heightM: 2.5 } }), "clearance-ceiling:light-m", "care");
  const near = set(hot, "M", { place: { kind: "cartesian", xM: -0.9, yM: 1.6, zM: -1.5 } });
  raises(near, "heat-paper:light-m", "care");
});

test("[C9] charge is told wherever there is flash, and not where there is none (IEC 60491)", () => {
  assert.match(named(check(clean), "capacitors:setup").what, /400 J/);
  assert.ok(!check(demo("demo-interview")).some(({ topic }) => topic === "capacitors"));
});

test("[C10] who is sensitive is asked first, and more than three pops in a second want a look (WCAG 2.3.1)", () => {
  assert.match(named(check(choir), "flashing:subject").what, /singer 18/);
  assert.equal(
    named(check(edited(clean, { kind: "subject", set: { flashSensitive: true } })), "flashing:subject").level,
    "care",
  );
  const burst = set(clean, "M", { pops: 8 });
  assert.equal(named(check(burst), "flashing:light-m").level, "care");
});

test("[C11] a dial out of reach offers the report's ways out, each proved", () => {
  const caution = raises(choir, "dial:light-h", "stop");
  assert.ok(caution.mends.some(({ label }) => label.startsWith("ND")));
  const accepted = check(set(choir, "H", { accepted: true }));
  assert.equal(named(accepted, "dial:light-h").level, "note");
});

test("[C12] a front in the spectacles: what is offered was predicted again and shows no more", () => {
  const glasses = edited(choir, { kind: "subject", set: { spectacles: { tiltDeg: 0, baseCurveD: 4 } } });
  const list = check(glasses).filter(({ topic }) => topic === "glare");
  assert.ok(list.length > 0);
  for (const caution of list) mendsHold(glasses, caution);
  assert.ok(list.some(({ mends }) => mends.length > 0));
});

test("[C13] a front in the picture is told; grids that hide every cell from the lens are told as done", () => {
  const inFrame = set(clean, "M", { place: { kind: "cartesian", xM: 0, yM: 1.3, zM: -1.2 } });
  const caution = named(check(inFrame), "flare:light-m");
  assert.equal(caution.level, "care");
  mendsHold(inFrame, caution);
  assert.equal(named(check(choir), "flare:setup").level, "done");
});

test("[C14] the room's light is told against main and fill", () => {
  const report: CareReport = { ...recheck(choir), room: { underWorkingStops: 7 } };
  const { what } = named(checkSetup(choir, report, kit), "room-light:room");
  assert.equal(what, "Room light 7.0 under M is 4.0 under F: +0.09 in the shadow");
  const bright: CareReport = { ...recheck(choir), room: { underWorkingStops: 2.9 } };
  const over = named(checkSetup(choir, bright, kit), "room-light:room").what;
  assert.equal(over, "Room light 2.9 under M is 0.1 over F: +1.05 in the shadow");
});

test("[C15] a shutter shorter than sync stops; disc and dome mixed and never compared want a look", () => {
  raises(edited(clean, { kind: "exposure", set: { shutterS: 1 / 500, shutterMark: "1/500" } }), "sync:camera", "stop");
  const clam = demo("demo-clamshell");
  const untried = edited(clam, { kind: "meter", set: { receptorsCompared: false } });
  const mixed = set(untried, "M", { meterAt: { ...light(untried, "M").meterAt, receptor: "disc" } });
  const dome = set(mixed, "F", { meterAt: { ...light(mixed, "F").meterAt, receptor: "dome" } });
  assert.equal(named(check(dome), "meter:receptors").level, "care");
});

test("[C18] [CV20] lamps on the mains want a shutter of whole swells: 1/50 at 230 V, 1/60 at 120 V; beside flash a note", () => {
  const film = demo("demo-interview");
  const id = "flicker:shutter";
  assert.ok(!check(film).some((each) => each.id === id), "25 frames at 1/50 s on 50 Hz");
  const shutter = (shutterS: number, framesPerSecond: number | null = 25): Setup =>
    edited(film, {
      kind: "exposure",
      set: { shutterS, shutterMark: `1/${Math.round(1 / shutterS)}`, framesPerSecond },
    });
  const caution = named(check(shutter(1 / 60)), id);
  assert.equal(caution.level, "care");
  assert.equal(caution.figures[0]?.limit, 1 / 50);
  mendsHold(shutter(1 / 60), caution);
  // 24 frames a second at 180° on 50 Hz: 1/48 s beats with the mains, 1/50 s is 172.8°.
  const beats = named(check(shutter(1 / 48, 24)), id);
  assert.ok(
    beats.mends.some(({ leaves }) => leaves.includes("172.8° at 24 frames a second")),
    beats.mends.map(({ leaves }) => leaves).join("; "),
  );
  const circuits = film.room.circuits.map((circuit) => ({ ...circuit, volts: 120 }));
  const abroad = (shutterS: number): Setup => edited(shutter(shutterS), { kind: "room", set: { circuits } });
  assert.equal(named(check(abroad(1 / 50)), id).level, "care");
  assert.ok(!check(abroad(1 / 60)).some((each) => each.id === id));
  assert.ok(!check(shutter(1 / 64, null)).every((each) => each.id !== id), "a still at 1/60 bands on 50 Hz");
  assert.ok(!check(shutter(1 / 4, null)).some((each) => each.id === id), "25 swells hide the rest");
});

test("[C16] pieces, bags, bonds and weights the kit lacks; a column pulled too far; a room too small", () => {
  assert.equal(named(check(demo("demo-interview")), "kit:LED panel 60 W").level, "care");
  assert.equal(named(check(clean, { ...kit, sandbagsKg: [5] }), "kit:sandbags").level, "care");
  assert.equal(named(check(choir, { ...kit, bonds: 0 }), "kit:bonds").level, "care");
  assert.equal(named(check(choir, { ...kit, counterweightsKg: [2] }), "kit:counterweights").level, "care");
  const low = { ...light(clean, "M").support, maxHeightM: 1.9 };
  raises(set(clean, "M", { support: low }), "fit-height:light-m", "care");
  const small = edited(clean, { kind: "room", set: { depthM: 3.4 } });
  assert.equal(named(check(small), "fit:room-short").level, "stop");
});

test("[C17] leads and the sheet's standing lines follow what is there, the deferral last", () => {
  named(check(clean), "cables:room");
  const lines = generalCautions(choir);
  assert.equal(lines.at(-1), deferral);
  assert.ok(
    lines.some((line) => line.includes("boom")) && !generalCautions(clean).some((line) => line.includes("boom")),
  );
});

test("[C20] the same setup gives the same cautions", () => {
  assert.deepEqual(check(choir), check(choir));
});

test("[C20] odd setups are judged without an exception: no lights, no masses, no kit, an object, a barn, a narrow closet", () => {
  const { room } = clean;
  const weightless = set(
    set(rig(clean, "M", { sandbagKg: 0 }), "M", {
      support: { ...light(clean, "M").support, massKg: 0, footRadiusM: 0 },
      modifier: { ...light(clean, "M").modifier, massKg: 0 },
    }),
    "M",
    { head: { ...light(clean, "M").head, massKg: 0, recycleS: 0, powerW: null } },
  );
  const boom = light(choir, "H");
  const odd: readonly Setup[] = [
    { ...clean, lights: [] },
    weightless,
    edited(clean, { kind: "subject", set: { kind: "object" } }, { kind: "backdrop", set: null }),
    edited(clean, {
      kind: "room",
      set: { widthM: 90, depthM: 90, heightM: 20, openings: [], circuits: [], detectors: [] },
    }),
    edited(clean, {
      kind: "room",
      set: {
        widthM: 1,
        depthM: 1,
        heightM: 1.5,
        crossFromLeftM: 0.5,
        crossFromBackM: 0.5,
        openings: room.openings,
        furniture: [],
      },
    }),
    set(choir, "H", { support: { ...boom.support, boomTailM: 0, boomArmKg: 0 } }),
    rig(choir, "H", { boom: null }),
  ];
  for (const setup of odd) {
    for (const withKit of [kit, null]) {
      // The report of the even setup does: what is odd here is no light.
      const list = checkSetup(setup, recheck(setup.id === choir.id ? choir : clean), withKit);
      assert.equal(new Set(list.map(({ id }) => id)).size, list.length);
      assert.ok(list.every(({ figures }) => figures.every(({ value }) => Number.isFinite(value))));
    }
  }
});
