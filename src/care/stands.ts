/** Each stand with its real load: does it hold a slope, does it hold a push, and what mends it. See standing.ts. */

import { type Light, type LightBody, wrapDegrees } from "../setup/index.ts";
import { bagsFor } from "./bags.ts";
import {
  aboutLight,
  deferral,
  degrees,
  type Finding,
  figure,
  finding,
  kilos,
  type Proposal,
  rigEdit,
} from "./finding.ts";
import { pushAtM, standOf } from "./masses.ts";
import {
  careTiltDeg,
  leastPushN,
  type Margin,
  type Stand,
  type StandTipping,
  sandbagFor,
  standTipping,
  stopTiltDeg,
} from "./standing.ts";
import type { CautionLevel } from "./types.ts";
import type { World } from "./world.ts";

const source =
  "6° slope: IEC 60598-2-4, cl. 4.6.3 (8° in UL 153, cl. 132.2.2); 10° and 50 N at 1.6 m: common practice, no source; statics";

/** tipping:LIGHT for every light on legs. */
export function standFindings(world: World): readonly Finding[] {
  return world.lights.flatMap(({ light, body }) => {
    const stand = standOf(light, body);
    return stand === null ? [] : [standFinding(world, light, body, stand)];
  });
}

function standFinding(world: World, light: Light, body: LightBody, stand: Stand): Finding {
  const tipping = standTipping(stand, pushAtM(body));
  const { worst, alongLoad } = tipping;
  const level = levelOf(light, worst);
  const figures = [
    figure("critical tilt, worst way", worst.tiltDeg, "°", careTiltDeg),
    figure("push that tips it", worst.pushN, "N", leastPushN),
    figure("margin to the tipping edge", worst.marginM, "m"),
    figure("critical tilt, the way the load leans", alongLoad.tiltDeg, "°"),
    figure("mass on the foot", tipping.massKg, "kg"),
  ];
  return finding({
    id: `tipping:${light.id}`,
    level,
    topic: "tipping",
    about: aboutLight(light),
    what: whatWords(light, level, worst),
    why: whyWords(level, light),
    defer: level === "done" ? "" : deferral,
    source,
    figures,
    proposals: () => proposals(world, light, body, tipping),
  });
}

/** A boom hangs over people and must hold a push; a plain stand is told what push it holds. */
function levelOf(light: Light, worst: Margin): CautionLevel {
  if (worst.tiltDeg < stopTiltDeg) return "stop";
  if (worst.tiltDeg < careTiltDeg) return "care";
  if (worst.pushN >= leastPushN) return "done";
  return light.support.kind === "boom" ? "care" : "note";
}

function whatWords(light: Light, level: CautionLevel, worst: Margin): string {
  const stand = light.support.kind === "boom" ? `${light.tag}'s boom stand` : `${light.tag}'s stand`;
  const push = Math.max(0, Math.round(worst.pushN));
  if (level === "done") return `${stand} holds ${degrees(worst.tiltDeg)} and a push of ${push} N`;
  if (worst.tiltDeg <= 0) return `${stand} falls by itself: the load is outside its legs`;
  if (worst.tiltDeg < careTiltDeg) return `${stand} tips at ${degrees(worst.tiltDeg)}; ${careTiltDeg}° wanted`;
  return `${stand}: a push of ${push} N tips it`;
}

function whyWords(level: CautionLevel, light: Light): string {
  if (level === "done") return "A person who brushes past does not bring it down.";
  if (level === "note") return "Who brushes past pushes with about 50 N: keep people an arm's length away.";
  if (light.support.kind === "boom") return "Who brushes past brings down what hangs over a head.";
  return "A lead, a slope or a shoulder brings it down on somebody.";
}

/** A leg under the load, a bag, or both: the smallest bag of the kit that does it. */
function proposals(world: World, light: Light, body: LightBody, tipping: StandTipping): readonly Proposal[] {
  const turned = Math.round(wrapDegrees(tipping.leanDeg));
  const sector = 360 / light.support.legs;
  const off = Math.abs(wrapDegrees((turned - light.rig.legAzimuthDeg) * (360 / sector))) / (360 / sector);
  const turnIt = tipping.leanM > 0.005 && off > 2 ? turned : null;
  const found: Proposal[] = [];
  if (turnIt !== null) found.push(legProposal(light, turnIt));
  const bag = bagProposal(world, light, body, light.rig.legAzimuthDeg);
  if (bag !== null) found.push(bag);
  const both = turnIt === null ? null : bagProposal(world, light, body, turnIt);
  // Turning as well is worth the trouble only where it saves a bag.
  if (both !== null && (bag === null || bagKg(both) < bagKg(bag))) found.push(both);
  return found;
}

function bagKg({ edits }: Proposal): number {
  const [edit] = edits;
  return edit?.kind === "light" ? (edit.set.rig?.sandbagKg ?? 0) : 0;
}

const legProposal = (light: Light, legAzimuthDeg: number): Proposal => ({
  edits: [rigEdit(light, { legAzimuthDeg })],
  steps: [`Turn ${light.tag}'s stand so that one leg points under the load, azimuth ${legAzimuthDeg}°.`],
  words: (after) => ({ label: `a leg of ${light.tag} under the load: ${tiltWords(after)}`, leaves: leaves(after) }),
});

function bagProposal(world: World, light: Light, body: LightBody, legAzimuthDeg: number): Proposal | null {
  const bare = standOf(light, body, false);
  if (bare === null) return null;
  const pushN = light.support.kind === "boom" ? leastPushN : null;
  const need = sandbagFor({ ...bare, legAzimuthDeg }, { tiltDeg: careTiltDeg, pushN, pushAtM: pushAtM(body) });
  if (need === null || need <= light.rig.sandbagKg) return null;
  const sandbagKg = bagsFor(world.kit, world.setup, light.id, need);
  if (sandbagKg === null) return null;
  const turned = legAzimuthDeg !== light.rig.legAzimuthDeg;
  return {
    edits: [rigEdit(light, { sandbagKg, legAzimuthDeg })],
    steps: [
      ...(turned ? [`Turn ${light.tag}'s stand: one leg under the load, azimuth ${legAzimuthDeg}°.`] : []),
      `Hang ${kilos(sandbagKg)} low over a leg, not swinging, or lay it on the legs.`,
    ],
    words: (after) => ({
      label: `${turned ? "leg under the load and " : ""}${kilos(sandbagKg)} bag on ${light.tag}: ${tiltWords(after)}`,
      leaves: leaves(after),
    }),
  };
}

const tiltWords = (after: Finding | undefined): string => degrees(after?.figures[0]?.value ?? 0);
const leaves = (after: Finding | undefined): string =>
  `holds ${tiltWords(after)} and ${Math.round(after?.figures[1]?.value ?? 0)} N`;
