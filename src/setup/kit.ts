/**
 * What a setup needs of a kit and whether the kit has it. Needs are tokens, one for each piece, so that a
 * store can keep them as a set of bits: "head:ID" for the first head of a kind, "head:ID#2" for the
 * second. Panels go by role, finish and size, since a setup keeps only their copy. Cameras, meters and
 * backdrops are not asked for: another of its kind serves.
 */

import type { Kit, KitPanel, Setup } from "./types.ts";

/** A kit with nothing in it. */
export function emptyKit(id = "kit", name = "Kit"): Kit {
  return {
    format: "stopwise-kit",
    version: 1,
    id,
    name,
    heads: [],
    modifiers: [],
    supports: [],
    panels: [],
    meters: [],
    cameras: [],
    rooms: [],
    backdrops: [],
    sandbagsKg: [],
    counterweightsKg: [],
    bonds: 0,
    roomHereId: null,
  };
}

/** "panel:flag:matt:100x200": what makes one panel as good as another. */
const panelToken = (panel: Pick<KitPanel, "role" | "finish" | "widthM" | "heightM">): string =>
  `panel:${panel.role}:${panel.finish}:${Math.round(panel.widthM * 100)}x${Math.round(panel.heightM * 100)}`;

const numbered = (token: string, n: number): string => (n === 1 ? token : `${token}#${n}`);

/** Every piece the setup needs, each token once, sorted. */
export function kitNeeds(setup: Pick<Setup, "lights" | "panels">): readonly string[] {
  return [...countNeeds(setup)].flatMap(([token, { count }]) => tokens(token, count)).sort();
}

/** Every piece the kit holds, as the same tokens, sorted. A setup can be built when its needs are among them. */
export function kitOffers(kit: Kit): readonly string[] {
  return [...countOffers(kit)].flatMap(([token, count]) => tokens(token, count)).sort();
}

const tokens = (token: string, count: number): readonly string[] =>
  Array.from({ length: count }, (_, i) => numbered(token, i + 1));

/** Whether the kit has every piece, and what is missing: "needs 3 LED panel 60 W, 1 here". */
export function kitCanBuild(
  kit: Kit,
  setup: Pick<Setup, "lights" | "panels">,
): { ok: boolean; missing: readonly string[] } {
  const offers = countOffers(kit);
  const missing: string[] = [];
  for (const [token, { count, name }] of countNeeds(setup)) {
    const here = offers.get(token) ?? 0;
    if (here < count) missing.push(`needs ${count} ${name}, ${here} here`);
  }
  return { ok: missing.length === 0, missing };
}

function countNeeds(setup: Pick<Setup, "lights" | "panels">): Map<string, { count: number; name: string }> {
  const needs = new Map<string, { count: number; name: string }>();
  const need = (token: string, name: string): void => {
    needs.set(token, { count: (needs.get(token)?.count ?? 0) + 1, name });
  };
  for (const light of setup.lights) {
    need(`head:${light.head.id}`, light.head.name);
    // A front without mass is the head's own face and comes with it.
    if (light.modifier.massKg > 0) need(`front:${light.modifier.id}`, light.modifier.name);
    if (light.support.kind !== "ceiling") need(`support:${light.support.id}`, light.support.name);
  }
  for (const panel of setup.panels) need(panelToken(panel), panel.name);
  return needs;
}

function countOffers(kit: Kit): Map<string, number> {
  const offers = new Map<string, number>();
  const offer = (token: string, count: number): void => {
    offers.set(token, (offers.get(token) ?? 0) + count);
  };
  for (const head of kit.heads) offer(`head:${head.id}`, head.count);
  for (const modifier of kit.modifiers) offer(`front:${modifier.id}`, modifier.count);
  for (const support of kit.supports) offer(`support:${support.id}`, support.count);
  for (const panel of kit.panels) offer(panelToken(panel), panel.count);
  return offers;
}
