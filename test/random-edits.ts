/** Random edits of a setup, one at a time, each valid on the setup that it was drawn for. */

import type { Edit, Setup } from "../src/setup/index.ts";
import { pick, sampleLight, sampleReading } from "./sample-book.ts";

export interface Dice {
  readonly random: () => number;
  /** How many ids were drawn; part of each. */
  made: number;
}

/** Nose heights that random edits choose from. */
export const noses: readonly number[] = [0.9, 1.25, 1.6, 1.75];

export function randomEdit(dice: Dice, setup: Setup): Edit {
  const { random } = dice;
  const fresh = `x${dice.made++}`;
  const light = setup.lights.length > 0 ? pick(random, setup.lights) : null;
  const kind = Math.floor(random() * 12);
  if (light === null || kind === 0) return { kind: "add-light", light: sampleLight(random, fresh, dice.made % 5) };
  if (kind === 1) return { kind: "remove-light", id: light.id };
  if (kind === 2)
    return {
      kind: "add-reading",
      reading: sampleReading(random, fresh, light.id, `2026-11-03T10:00:${String(dice.made % 60).padStart(2, "0")}Z`),
    };
  if (kind === 3 && setup.readings.length > 0) {
    return { kind: "undo-reading", id: pick(random, setup.readings).id, undone: random() < 0.5 };
  }
  if (kind === 4) return { kind: "subject", set: { noseHeightM: pick(random, noses) } };
  if (kind === 5)
    return {
      kind: "room",
      set: pick(random, [{ widthM: 3, crossFromLeftM: 1.5 }, { crossFromLeftM: 0.5 }, { circuits: [] }]),
    };
  if (kind === 6)
    return setup.backdrop === null
      ? addBackdrop
      : pick(random, [
          { kind: "backdrop", set: null },
          { kind: "backdrop", set: { xM: random() } },
        ] as const);
  if (kind === 7) return { kind: "setup", set: { title: `title ${fresh}`, tags: [fresh] } };
  if (kind === 8)
    return {
      kind: "meter",
      set: pick(random, [
        { lowestAv: 8, highestAv: 9 },
        { lowestAv: -2, highestAv: 2 },
      ]),
    };
  const noseM = setup.subject.noseHeightM;
  const set = pick(random, [
    { place: { kind: "polar", azimuthDeg: Math.round(random() * 90), distanceM: 1, heightM: noseM + 0.8 } },
    { place: { kind: "cartesian", xM: 0, yM: pick(random, [0.9, 1.6, 1.75]), zM: pick(random, [0, 1]) } },
    { dialStops: -Math.round(random() * 50) / 10 },
    { target: { kind: "under", stops: Math.round(random() * 40) / 10 } },
  ] as const);
  return { kind: "light", id: light.id, set };
}

const addBackdrop: Edit = {
  kind: "backdrop",
  set: { name: "paper", reflectance: 0.2, widthM: 2.7, heightM: 2.5, xM: 0, zM: -1, sweepM: 1, targetTone: null },
};
