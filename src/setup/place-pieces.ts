/**
 * One light or one panel of a pattern into a room: every place near its wish is tried, the nearest first, until nothing
 * is in the way (placing-cost.ts) or nothing better is left. Lengths in metres, angles in degrees.
 */

import { hangBoom } from "./boom-place.ts";
import { panelOutline } from "./fronts.ts";
import { type LightBody, lightBody } from "./light-body.ts";
import type { PatternLight, PatternPanel } from "./patterns.ts";
import { wrapDegrees } from "./place.ts";
import { carryingCost, type Ground, hangingCost, panelCost, wayCost } from "./placing-cost.ts";
import { wallClearanceM } from "./space.ts";
import { panelThing } from "./standing-things.ts";
import { legUnderLoadDeg } from "./steadiness.ts";
import type { Light, Panel, Setup } from "./types.ts";

/** A polar place that is always possible: a rise beyond the distance is cut to 0.95 of it. */
export function placeAt(setup: Setup, azimuthDeg: number, distanceM: number, riseM: number): Light["place"] {
  const rise = Math.max(-0.95 * distanceM, Math.min(0.95 * distanceM, riseM));
  const heightM = Math.max(0.1, setup.subject.noseHeightM + rise);
  const round = (value: number): number => Math.round(value * 100) / 100;
  return { kind: "polar", azimuthDeg: wrapDegrees(azimuthDeg), distanceM: round(distanceM), heightM: round(heightM) };
}

interface Candidate {
  readonly cost: number;
  readonly place: Light["place"];
  /** The same for all heights over one spot. */
  readonly spot: string;
}

const turns = [0, 5, -5, 10, -10, 15, -15, 20, -20, 30, -30, 40, -40];
/** Toward the nose's height (negative: away from it), m. */
const levellings = [0, 0.1, -0.1, 0.2, -0.2, 0.35, 0.5];
/** How the legs stand against the one under the load, and what that costs. */
const legTurns: readonly (readonly [turnDeg: number, cost: number])[] = [
  [0, 0],
  [20, 0.5],
  [-20, 0.5],
  [60, 1.5],
];

/** Every place a light may take, the nearest to its wish first: closer, turned, nearer to level. */
function candidatesFor(setup: Setup, wish: PatternLight): readonly Candidate[] {
  const list: Candidate[] = [];
  for (let distanceM = wish.distanceM; distanceM >= wish.leastM - 1e-9; distanceM -= 0.1) {
    for (const turn of turns) {
      for (const level of levellings) {
        const cost = Math.log2(wish.distanceM / distanceM) * 8 + Math.abs(turn) / 5 + Math.abs(level) * 8;
        list.push({
          cost,
          spot: `${distanceM.toFixed(1)} ${turn}`,
          place: placeAt(setup, wish.azimuthDeg + turn, distanceM, wish.riseM - Math.sign(wish.riseM) * level),
        });
      }
    }
  }
  return list.sort((a, b) => a.cost - b.cost);
}

export interface PlacedLight {
  readonly cost: number;
  readonly light: Light;
}

/** The best place that costs less than `most`: nothing in the way if that can be had, then the nearest to the wish. */
export function placeLight(ground: Ground, light: Light, wish: PatternLight, most: number): PlacedLight | null {
  let [best, bestCost]: [Light | null, number] = [null, most];
  // What the front over a spot takes from the way out; its height hardly changes that, and walking the floor is dear.
  const onWay = new Map<string, number>();
  for (const candidate of candidatesFor(ground.setup, wish)) {
    // Costs only grow from here on: nothing later can beat a place without obstruction.
    if (candidate.cost >= bestCost) break;
    const known = onWay.get(candidate.spot) ?? 0;
    if (candidate.cost + known >= bestCost) continue;
    const there = { ...light, place: candidate.place };
    const bare = lightBody(ground.setup, there);
    const hanging = candidate.cost + hangingCost(ground, bare);
    if (hanging + known >= bestCost) continue;
    const ahead = wayCost(ground, { ...bare, stand: null, boom: null }, bestCost - hanging);
    onWay.set(candidate.spot, ahead);
    if (hanging + ahead >= bestCost) continue;
    for (const option of standsFor(there, bare)) {
      const base = hanging + option.cost;
      if (base + ahead >= bestCost) continue;
      const body = lightBody(ground.setup, option.light);
      const off = base + carryingCost(ground, option.light, body, bestCost - base);
      if (off >= bestCost) continue;
      const cost = off + wayCost(ground, body, bestCost - off);
      if (cost < bestCost) [best, bestCost] = [option.light, cost];
    }
  }
  return best === null ? null : { light: best, cost: bestCost };
}

/** The light on each way to stand worth trying: a boom's stands about its load, or a stand's legs turned. */
function standsFor(light: Light, body: LightBody): readonly PlacedLight[] {
  if (light.support.kind === "boom") return hangBoom(light, body);
  if (light.support.kind === "ceiling") return [{ cost: 0, light }];
  const under = legUnderLoadDeg(light, body);
  return legTurns.map(([turn, cost]) => ({
    cost,
    light: { ...light, rig: { ...light.rig, legAzimuthDeg: wrapDegrees(under + turn) } },
  }));
}

/** Cards and flags face the nose; they turn and come nearer until nothing is in their way. */
export function placePanel(
  ground: Ground,
  piece: Omit<Panel, "order" | "tag" | "hue" | "place" | "facingDeg" | "tiltDeg" | "target">,
  wish: PatternPanel,
  index: number,
): { readonly panel: Panel; readonly cost: number } {
  const { setup } = ground;
  const low = setup.subject.kind === "object" ? setup.subject.noseHeightM : 0;
  const mostM = setup.room.heightM - piece.heightM / 2 - wallClearanceM;
  const heightM = Math.max(piece.heightM / 2, low, Math.min(setup.subject.noseHeightM, mostM));
  const panelAt = (distanceM: number, turn: number): Panel => {
    const azimuth = ((wish.azimuthDeg + turn) * Math.PI) / 180;
    return {
      ...piece,
      order: `p${index}`,
      tag: wish.tag,
      hue: ((index + 5) % 8) + 1,
      place: { kind: "cartesian", xM: distanceM * Math.sin(azimuth), yM: heightM, zM: distanceM * Math.cos(azimuth) },
      facingDeg: wrapDegrees(wish.azimuthDeg + turn + 180),
      tiltDeg: 0,
      target: wish.target,
    };
  };
  let best: { panel: Panel; cost: number } | null = null;
  for (let distanceM = wish.distanceM; distanceM >= 0.4; distanceM -= 0.1) {
    for (const turn of [0, 10, -10, 20, -20]) {
      const panel = panelAt(distanceM, turn);
      const base = (wish.distanceM - distanceM) * 10 + Math.abs(turn) / 10;
      const cost = base + panelCost(ground, panelThing(setup, panel), panelOutline(setup, panel));
      if (best === null || cost < best.cost) best = { panel, cost };
    }
  }
  return best ?? { panel: panelAt(wish.distanceM, 0), cost: 0 };
}
