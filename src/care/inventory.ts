/** Has the kit every piece, and does each piece go as high as it is planned; and does the room take the whole. */

import { fitsRoom, kitCanBuild, type Light, type LightBody } from "../setup/index.ts";
import { leastSum } from "./bags.ts";
import {
  aboutLight,
  aboutRoom,
  aboutSetup,
  deferral,
  type Finding,
  figure,
  finding,
  kilos,
  metres,
} from "./finding.ts";
import { raised } from "./moves.ts";
import type { World } from "./world.ts";

export function inventoryFindings(world: World): readonly Finding[] {
  return [
    ...pieces(world),
    ...weights(world),
    ...world.lights.flatMap(({ light, body }) => heights(world, light, body)),
    ...room(world),
  ];
}

function pieces(world: World): readonly Finding[] {
  if (world.kit === null) return [];
  return kitCanBuild(world.kit, world.setup).missing.map((missing) =>
    finding({
      id: `kit:${missing.replace(/^needs \d+ |, \d+ here$/g, "")}`,
      level: "care",
      topic: "kit",
      about: aboutSetup,
      what: `The kit ${missing}`,
      why: "Borrow it, or choose another in Kit & room before the van is packed.",
      source: "the kit",
    }),
  );
}

/** Bags, bonds and counterweights over all lights. */
function weights(world: World): readonly Finding[] {
  const { kit, setup } = world;
  if (kit === null) return [];
  const sum = (of: (light: Light) => number): number => setup.lights.reduce((total, light) => total + of(light), 0);
  const [bagsKg, haveKg] = [sum(({ rig }) => rig.sandbagKg), kit.sandbagsKg.reduce((a, b) => a + b, 0)];
  const bonds = sum(({ rig }) => (rig.bonded ? 1 : 0));
  const booms = setup.lights.flatMap(({ rig }) => (rig.boom === null ? [] : [rig.boom.counterweightKg]));
  const found: Finding[] = [];
  const add = (id: string, what: string, have: number, need: number, unit: string): void => {
    const why = "What is missing on the set is what somebody replaces with a chair.";
    found.push(
      finding({
        id,
        level: "care",
        topic: "kit",
        about: aboutSetup,
        what,
        why,
        defer: deferral,
        source: "the kit",
        figures: [figure("needed", need, unit, have)],
      }),
    );
  };
  if (bagsKg > haveKg + 1e-6)
    add(
      "kit:sandbags",
      `The kit holds ${kilos(haveKg)} of sandbags, ${kilos(bagsKg)} are planned`,
      haveKg,
      bagsKg,
      "kg",
    );
  if (bonds > kit.bonds)
    add("kit:bonds", `The kit holds ${kit.bonds} bonds, ${bonds} are planned`, kit.bonds, bonds, "");
  const needKg = booms.reduce((a, b) => a + b, 0);
  const weightsKg = kit.counterweightsKg.reduce((a, b) => a + b, 0);
  if (needKg > 0 && (leastSum(kit.counterweightsKg, needKg) === null || booms.length > kit.counterweightsKg.length)) {
    add(
      "kit:counterweights",
      `The kit holds ${kilos(weightsKg)} of counterweights, ${kilos(needKg)} are planned`,
      weightsKg,
      needKg,
      "kg",
    );
  }
  return found;
}

/** A column goes only so high and so low. */
function heights(world: World, light: Light, body: LightBody): readonly Finding[] {
  if (body.stand === null) return [];
  const top = body.stand.top[1];
  const { minHeightM, maxHeightM, name } = light.support;
  const high = top > maxHeightM + 0.005;
  if (!high && top >= minHeightM - 0.005) return [];
  const limit = high ? maxHeightM : minHeightM;
  return [
    finding({
      id: `fit-height:${light.id}`,
      level: "care",
      topic: "fit",
      about: aboutLight(light),
      what: `${light.tag}: its ${name} goes ${high ? "up" : "down"} to ${metres(limit, 2)}, ${metres(top, 2)} is planned`,
      why: high ? "A column pulled past its mark comes out." : "It does not go that low: another stand, or a clamp.",
      source: "the kit",
      figures: [figure("top of the column", top, "m", limit)],
      proposals: () => {
        const byM = (high ? Math.floor((limit - top) * 20) : Math.ceil((limit - top) * 20)) / 20;
        const edit = raised(world.setup, light, byM);
        const words = `${light.tag} ${metres(Math.abs(byM), 2)} ${byM > 0 ? "higher" : "lower"}`;
        return edit === null
          ? []
          : [{ edits: [edit], words: () => ({ label: words, leaves: "within what the stand does" }) }];
      },
    }),
  ];
}

/** The room as a whole: too short, too narrow, too low. */
function room(world: World): readonly Finding[] {
  return fitsRoom(world.setup.room, world.setup).faults.map((fault) =>
    finding({
      id: `fit:${fault.code}`,
      level: "stop",
      topic: "fit",
      about: aboutRoom,
      what: fault.what,
      why: fault.mend,
      source: "geometry",
    }),
  );
}
