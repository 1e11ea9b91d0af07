/** What the document's readings say: which count, and the newest of each light. Readings are append-only. */

import type { Id, Reading, Setup } from "./types.ts";

/** Readings that were not taken back, in the order they were taken. */
export const countedReadings = (setup: Pick<Setup, "readings">): readonly Reading[] =>
  setup.readings.filter((reading) => !reading.undone);

/** The newest reading of this light alone that counts; equal times: the later entry. Null when there is none. */
export function latestReading(setup: Pick<Setup, "readings">, lightId: Id): Reading | null {
  let latest: Reading | null = null;
  for (const reading of setup.readings) {
    if (reading.undone || reading.kind !== "alone" || reading.lightId !== lightId) continue;
    if (latest === null || Date.parse(reading.at) >= Date.parse(latest.at)) latest = reading;
  }
  return latest;
}
