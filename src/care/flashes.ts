/**
 * Flashing light and people. Nothing flashes more than three times in any second (WCAG 2.3.1, written for
 * screens; taken as the limit for pops); sensitivity is mostly to 3 to 30 Hz (a national epilepsy society's
 * guidance). Whoever is sensitive is asked first. Bright bare lamps: IEC 62471 sorts lamps into risk groups.
 */

import { flashRate, mostFlashesPerSecond } from "./electricity.ts";
import { aboutLight, aboutSetup, aboutSitter, deferral, type Finding, figure, finding, joined } from "./finding.ts";
import type { World } from "./world.ts";

/** Whose recycle time nobody states. */
const usualRecycleS = 1;
/** A small bright lamp of this power is not looked into (common practice, no source). */
const bareLampW = 100;

export function flashFindings(world: World): readonly Finding[] {
  return [...burst(world), ...sensitive(world), ...bareLamps(world)];
}

/** Heads fire together, so the fastest burst of any one light is what is seen. */
function burst(world: World): readonly Finding[] {
  const flashing = world.setup.lights.filter(({ on, head }) => on && head.kind === "flash");
  return flashing.flatMap((light) => {
    const rate = flashRate(light.pops, light.head.recycleS ?? usualRecycleS, light.dialStops);
    if (light.pops <= 1) return [];
    const over = rate > mostFlashesPerSecond;
    return [
      finding({
        id: `flashing:${light.id}`,
        level: over ? "care" : "note",
        topic: "flashing",
        about: aboutLight(light),
        what: over
          ? `${light.tag}: ${light.pops} pops, up to ${rate} in one second`
          : `${light.tag}: ${light.pops} pops for one frame; say so before the first`,
        why: "A burst can set off a fit in somebody who is sensitive, and everybody blinks. Ask everybody in the room first.",
        defer: deferral,
        source: "three in any second: WCAG 2.3.1",
        figures: [figure("flashes in one second", rate, "", mostFlashesPerSecond)],
        proposals: () =>
          over
            ? [
                {
                  edits: [],
                  steps: ["Leave half a second or more between pops; stop at once if anybody feels odd."],
                  words: () => ({ label: "slower pops", leaves: "two in any second" }),
                },
              ]
            : [],
      }),
    ];
  });
}

function sensitive(world: World): readonly Finding[] {
  const { subject, sitters, lights } = world.setup;
  if (!lights.some(({ on, head }) => on && head.kind === "flash")) return [];
  const names = sitters.filter(({ flashSensitive }) => flashSensitive).map(({ name }) => name);
  if (!subject.flashSensitive && names.length === 0) return [];
  const who = names.length === 0 ? "the sitter" : names.length > 3 ? `${names.length} sitters` : joined(names);
  return [
    finding({
      id: "flashing:subject",
      level: "care",
      topic: "flashing",
      about: aboutSitter,
      what: `Ask first: ${who} ${names.length > 1 ? "are" : "is"} sensitive to flashing light`,
      why: "Offer the lamps alone or window light; if flash is welcome, single pops with a word before each, low power, metering without them in the seat.",
      defer: deferral,
      source:
        "3 to 30 Hz mostly, a national epilepsy society's guidance; infants and animals: common practice, no source",
    }),
  ];
}

function bareLamps(world: World): readonly Finding[] {
  const bare = world.setup.lights.filter(
    ({ on, head, modifier }) =>
      on &&
      head.kind === "continuous" &&
      (head.powerW ?? 0) >= bareLampW &&
      (modifier.shape === "bare" || modifier.shape === "lobe") &&
      !modifier.layers.includes("front"),
  );
  if (bare.length === 0) return [];
  return [
    finding({
      id: "flashing:bare",
      level: "note",
      topic: "flashing",
      about: aboutSetup,
      what: `${joined(bare.map(({ tag }) => tag))}: a bare lamp; do not look into it, or put cloth before it`,
      why: "Small bright lamps can be of risk group 2: dangerous to stare into.",
      defer: deferral,
      source: "IEC 62471 (risk groups)",
    }),
  ];
}
