/**
 * Nothing hangs over a person without a bond: a second suspension, independent of the first (IEC 60598-2-17,
 * cl. 17.6.6, holds after 30 drops of 300 mm; a trade body advises a fall of 150 mm at most). Over means
 * higher than the seated nose and within half a metre of head and shoulders in the plan, the fall path while
 * somebody adjusts it (common practice, no source).
 */

import type { Light, LightBody } from "../setup/index.ts";
import { aboutLight, deferral, type Finding, figure, finding, metres, rigEdit } from "./finding.ts";
import { bondedFallM, dropEnergy } from "./lever.ts";
import { loadKg } from "./masses.ts";
import { bodySegments, type Person, planDistance, upperPoints, type World } from "./world.ts";

/** Half a metre beside head and shoulders, which reach 0.2 m from their middle. */
const fallPathM = 0.5 + 0.2;
/** A plain stand beside the sitter is the stand check's matter: only what is higher than the head's top hangs over it. */
const aboveTopM = 0.05;

/** overhead:LIGHT for every light that hangs over somebody, or from the ceiling. */
export function overheadFindings(world: World): readonly Finding[] {
  return world.lights.flatMap(({ light, body }) => {
    const person = world.people.find((each) => hangsOver(light, body, each));
    if (person === undefined && light.support.kind !== "ceiling") return [];
    return [overheadFinding(world, light, body, person)];
  });
}

/** A boom's or a ceiling's light within the fall path; of a plain stand, a front that reaches over the head itself. */
function hangsOver(light: Light, body: LightBody, person: Person): boolean {
  const within = light.support.kind === "stand" ? 0.15 : fallPathM;
  return bodySegments(body).some(
    ([a, b]) => Math.max(a[1], b[1]) > person.topM + aboveTopM && planDistance(person.xM, person.zM, a, b) < within,
  );
}

function overheadFinding(world: World, light: Light, body: LightBody, person: Person | undefined): Finding {
  const lowest = Math.min(...upperPoints(body).map(([, y]) => y));
  const freeFallM = Math.max(0, lowest - (person?.topM ?? 0));
  const massKg = loadKg(light);
  const bonded = light.rig.bonded;
  const [free, held] = [dropEnergy(massKg, freeFallM), dropEnergy(massKg, bondedFallM)];
  const where = person === undefined ? "hangs from the ceiling" : "hangs over the sitter";
  return finding({
    id: `overhead:${light.id}`,
    level: bonded ? "done" : "stop",
    topic: "overhead",
    about: aboutLight(light),
    what: bonded ? `${light.tag} ${where}, bonded` : `${light.tag} ${where} without a bond`,
    why: bonded
      ? `Should the clamp fail it falls ${metres(bondedFallM, 2)} at most, ${held.toFixed(1)} J; front and grid tied too.`
      : `${massKg.toFixed(1)} kg would fall ${metres(freeFallM)}: ${Math.round(free)} J on whoever is under it.`,
    defer: deferral,
    source: "IEC 60598-2-17, cl. 17.6.6 (secondary suspension); fall of 150 mm: a trade body's advice; E = m·g·h",
    figures: [
      figure("mass overhead", massKg, "kg"),
      figure("energy of a free fall", free, "J"),
      figure("energy of a fall in the bond", held, "J"),
    ],
    proposals: () => (bonded ? [] : [bondProposal(world, light, held)]),
  });
}

const bondProposal = (world: World, light: Light, heldJ: number): ReturnType<Finding["proposals"]>[number] => ({
  edits: [rigEdit(light, { bonded: true })],
  steps: [
    "Nobody under it while hands are on it.",
    `Bond ${light.tag} round head and ${light.support.kind === "ceiling" ? "rail" : "arm"}, a part of its own, as short as it goes: it may fall ${metres(bondedFallM, 2)} at most.`,
    `Tie ${light.modifier.grid === null ? "the front" : "front and grid"} to the head.`,
    ...(world.kit === null ? [] : [`The kit holds ${world.kit.bonds} bonds.`]),
  ],
  words: () => ({
    label: `bond ${light.tag}`,
    leaves: `a fall of ${metres(bondedFallM, 2)} at most, ${heldJ.toFixed(1)} J`,
  }),
});
