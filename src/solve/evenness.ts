/**
 * How even the light is over a group of heads and over the backdrop: spread = highest − lowest reading.
 * Limits are common practice, no source: 0.3 stop over a group and a white backdrop, 0.5 over a darker one.
 */

import { noseTips, type Setup } from "../setup/index.ts";
import { lensPosition, towards } from "./face.ts";
import { addedAv } from "./ledger.ts";
import { ALL_WAYS, aloneAt, ambientParts, type Engine, lightParts, litLights } from "./predict.ts";
import { freeSpot } from "./scene.ts";
import type { Evenness, TogetherReport } from "./types.ts";

const GROUP_LIMIT_STOPS = 0.3;
const WHITE_LIMIT_STOPS = 0.3;
const DARKER_LIMIT_STOPS = 0.5;
/** From here on a backdrop counts as white. */
const WHITE_REFLECTANCE = 0.6;

/** Spread of readings; null where some are dark (null) beside lit ones, 0 where all are dark or there is one. */
export function spreadOf(avs: readonly (number | null)[]): number | null {
  const lit = avs.filter((av) => av !== null);
  if (lit.length > 0 && lit.length < avs.length) return null;
  return lit.length < 2 ? 0 : Math.max(...lit) - Math.min(...lit);
}

/** Over the group, all lights on and each main alone; over the backdrop where there is one. */
export function evennessOf(engine: Engine, setup: Setup, together: readonly TogetherReport[]): readonly Evenness[] {
  const found = [...groupEvenness(engine, setup)];
  const backdrop = together.filter(({ place }) => place.point.startsWith("backdrop-"));
  if (backdrop.length > 1 && setup.backdrop !== null) {
    found.push({
      name: "backdrop, disc flat on it",
      spreadStops: spreadOf(backdrop.map(({ predicted }) => predicted.av)),
      limitStops: setup.backdrop.reflectance >= WHITE_REFLECTANCE ? WHITE_LIMIT_STOPS : DARKER_LIMIT_STOPS,
      readings: backdrop.map(({ name, predicted }) => ({ name, av: predicted.av })),
    });
  }
  return found;
}

function groupEvenness(engine: Engine, setup: Setup): readonly Evenness[] {
  const tips = noseTips(setup);
  if (tips.length < 2) return [];
  const scene = engine.sceneOf(setup);
  const lens = lensPosition(setup);
  const mains = litLights(scene, null).filter(({ light }) => light.role === "main");
  const named = (avs: readonly (number | null)[]): Evenness["readings"] =>
    avs.map((av, i) => ({ name: `head ${i + 1}`, av }));
  const all = tips.map((tip) => {
    const spot = freeSpot(tip, towards(tip, lens), "dome", "nose tip");
    const lights = litLights(scene, null).flatMap((lit) => lightParts(engine, scene, lit, spot, ALL_WAYS));
    return addedAv([...lights, ...ambientParts(scene, spot)]);
  });
  const byMain = mains.map((lit) => {
    const avs = tips.map((tip) => {
      const spot = freeSpot(tip, towards(tip, lit.front.centre), "dome", "nose tip");
      return aloneAt(engine, scene, lit, spot, ALL_WAYS).av;
    });
    return evenness(`${lit.light.tag} alone over the group, dome at it`, avs, named(avs));
  });
  return [evenness("group, all lights on, dome to the camera", all, named(all)), ...byMain];
}

const evenness = (name: string, avs: readonly (number | null)[], readings: Evenness["readings"]): Evenness => ({
  name,
  spreadStops: spreadOf(avs),
  limitStops: GROUP_LIMIT_STOPS,
  readings,
});
