/**
 * Bags, bonds and counterweights for lights that are placed: the least bag of the kit that makes each stand steady
 * (steadiness.ts), booms first, then who needs most; a bond on whatever hangs over somebody. What the kit does not
 * hold is said. Kilos.
 */

import { type Fault, fault } from "../units/index.ts";
import { headOf } from "./head.ts";
import { type LightBody, lightBody } from "./light-body.ts";
import { gapM, solid } from "./solid.ts";
import { partsOf } from "./standing-things.ts";
import { bagNeedKg } from "./steadiness.ts";
import type { Kit, Light, Setup } from "./types.ts";

/** A column of air over the head: who hangs in it falls on somebody. */
const overHeadM = 0.25;

/** The setup with its lights rigged as far as the kit goes, and what it lacks. */
export function rigUp(setup: Setup, kit: Kit): { readonly setup: Setup; readonly faults: readonly Fault[] } {
  const faults: Fault[] = [];
  const bodies = setup.lights.map((light) => lightBody(setup, light));
  const bags = bagsFor(setup.lights, bodies, kit, faults);
  let bonds = kit.bonds;
  const lights = setup.lights.map((light, i): Light => {
    const overhead = light.support.kind !== "stand" || hangsOverHead(setup, bodies[i] as LightBody);
    const bonded = overhead && bonds > 0;
    if (bonded) bonds -= 1;
    if (overhead && !bonded) faults.push(lacks(`bond left for ${light.tag}, which hangs overhead`, i));
    return { ...light, rig: { ...light.rig, bonded, sandbagKg: bags[i] ?? 0 } };
  });
  faults.push(...counterweightFaults(lights, kit));
  return { setup: { ...setup, lights }, faults };
}

/** Kilos for each light: every bag goes to one stand. */
function bagsFor(lights: readonly Light[], bodies: readonly LightBody[], kit: Kit, faults: Fault[]): readonly number[] {
  const needs = lights.map((light, i) => ({ i, light, needKg: bagNeedKg(light, bodies[i] as LightBody) ?? Infinity }));
  const first = (light: Light): number => (light.support.kind === "boom" ? 1 : 0);
  needs.sort((a, b) => first(b.light) - first(a.light) || b.needKg - a.needKg);
  const given = lights.map(() => 0);
  let left = [...kit.sandbagsKg];
  for (const { i, light, needKg } of needs) {
    if (needKg <= 0) continue;
    const taken = leastBags(left, needKg);
    if (taken === null) {
      faults.push(lacks(`sandbags left that hold ${light.tag}'s stand`, i));
      continue;
    }
    given[i] = taken.reduce((sum, kg) => sum + kg, 0);
    for (const kg of taken) left = without(left, kg);
  }
  return given;
}

/** The bags of least sum that is enough; of equal sums the fewest. Null when all together are less. */
function leastBags(bags: readonly number[], needKg: number): readonly number[] | null {
  let sets: readonly (readonly number[])[] = [[]];
  const sum = (set: readonly number[]): number => set.reduce((total, kg) => total + kg, 0);
  for (const kg of bags.slice(0, mostBags)) {
    const bySum = new Map<number, readonly number[]>();
    for (const set of [...sets, ...sets.map((each) => [...each, kg])]) {
      const key = Math.round(sum(set) * 10);
      if ((bySum.get(key)?.length ?? Number.POSITIVE_INFINITY) > set.length) bySum.set(key, set);
    }
    sets = [...bySum.values()];
  }
  const enough = sets.filter((set) => sum(set) >= needKg - 1e-9);
  return enough.length === 0 ? null : enough.reduce((a, b) => (sum(b) < sum(a) - 1e-9 ? b : a));
}

/** Nobody hangs more bags than that on a set. */
const mostBags = 40;

function without(bags: readonly number[], kg: number): number[] {
  const at = bags.indexOf(kg);
  return bags.filter((_, i) => i !== at);
}

/** Anything but column and legs in the column of air over the sitter's head. */
function hangsOverHead(setup: Setup, body: LightBody): boolean {
  const head = headOf(setup);
  if (head === null) return false;
  const [x, y, z] = head.centre;
  const above = solid(
    [
      [x, y + head.halfAxesM[1] + overHeadM, z],
      [x, setup.room.heightM + 1, z],
    ],
    overHeadM,
  );
  return partsOf(body).some(({ name, solid: part }) => name !== "leg" && name !== "column" && gapM(part, above, 0) < 0);
}

function counterweightFaults(lights: readonly Light[], kit: Kit): readonly Fault[] {
  const needs = lights.flatMap(({ rig }, i) =>
    rig.boom === null || rig.boom.counterweightKg === 0 ? [] : [{ i, rig }],
  );
  const needKg = needs.reduce((sum, { rig }) => sum + (rig.boom?.counterweightKg ?? 0), 0);
  const haveKg = kit.counterweightsKg.reduce((sum, kg) => sum + kg, 0);
  if (needs.length <= kit.counterweightsKg.length && needKg <= haveKg + 1e-9) return [];
  return [lacks(`counterweights for booms that want ${needKg.toFixed(1)} kg`, needs[0]?.i ?? 0)];
}

const lacks = (what: string, index: number): Fault =>
  fault("kit-lacks", `The kit has no ${what}`, `lights[${index}].rig`, "Borrow it before anybody sits there.");
