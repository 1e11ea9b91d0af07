/**
 * Lights that were metered again and moved: newest reading alone against the one before it at the same meter
 * place, less what a turn of the dial between them gave. A tenth or more counts (the resolution of meters).
 */

import { countedReadings, type Light, mainOf, type Reading, type Setup } from "../setup/index.ts";
import { believedAv } from "./predict.ts";
import { outputOfDial } from "./turn.ts";
import type { Drift } from "./types.ts";

const DRIFT_STOPS = 0.1;

/** Every light that drifted. */
export function driftOf(setup: Setup): readonly Drift[] {
  const main = mainOf(setup);
  return setup.lights.flatMap((light) => {
    const pair = lastTwo(setup, light);
    if (pair === null) return [];
    const [before, after] = pair;
    const dialAt = (reading: Reading): number => outputOfDial(light.head, reading.dialStops ?? light.dialStops);
    const stops = believedAv(setup, after) - believedAv(setup, before) - (dialAt(after) - dialAt(before));
    if (Math.abs(stops) < DRIFT_STOPS - 1e-6) return [];
    const words = wordsOf(setup, light, stops, light === main);
    return [{ lightId: light.id, stops, fromReadingId: before.id, toReadingId: after.id, words }];
  });
}

/** The last two counted readings of a light alone, at the place where the later one was taken. */
function lastTwo(setup: Setup, light: Light): readonly [Reading, Reading] | null {
  const own = countedReadings(setup)
    .filter((reading) => reading.kind === "alone" && reading.lightId === light.id)
    .map((reading, order) => ({ reading, order, time: Date.parse(reading.at) }))
    .sort((a, b) => a.time - b.time || a.order - b.order)
    .map(({ reading }) => reading);
  const after = own[own.length - 1];
  if (!after) return null;
  const same = own.slice(0, -1).filter(({ place }) => {
    const { point, receptor, aim } = after.place;
    return place.point === point && place.receptor === receptor && place.aim === aim;
  });
  const before = same[same.length - 1];
  return before ? [before, after] : null;
}

function wordsOf(setup: Setup, light: Light, stops: number, isMain: boolean): string {
  const moved = `${light.tag} reads ${Math.abs(stops).toFixed(1)} ${stops > 0 ? "higher" : "lower"} than before`;
  const others = setup.lights.filter((other) => other !== light).map(({ tag }) => tag);
  if (!isMain || others.length === 0) return moved;
  const against = stops > 0 ? "lower" : "higher";
  return `${moved}: against it ${others.join(", ")} stand ${Math.abs(stops).toFixed(1)} ${against}; targets hang on the working aperture and stay`;
}
