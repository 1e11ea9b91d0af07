/**
 * The reading of the room itself: dome to the camera at the shadow cheek, a hand between it and every light. What it
 * says outranks the model of the room. It holds what panels return and what burns in the room as well.
 */

import {
  countedReadings,
  type Id,
  type Light,
  type MeterPlace,
  type Reading,
  type Setup,
  shadowCheek,
} from "../setup/index.ts";

/** Where the room is read. */
export const roomPlace = (setup: Setup): MeterPlace => ({
  point: setup.subject.kind === "person" ? shadowCheek(setup) : "nose",
  receptor: "dome",
  aim: "camera",
});

/** The newest counted reading of the room with every light that is on shaded. */
export const roomReading = (setup: Setup): Reading | null =>
  togetherReading(setup, "room", {
    place: roomPlace(setup),
    shaded: setup.lights.filter(({ on }) => on).map(({ id }) => id),
  });

/** The newest counted reading of a kind at this place with these lights shaded. */
export function togetherReading(
  setup: Setup,
  kind: Reading["kind"],
  { place, shaded }: { readonly place: MeterPlace; readonly shaded: readonly Id[] },
): Reading | null {
  let newest: Reading | null = null;
  for (const reading of countedReadings(setup)) {
    if (reading.kind !== kind || !samePlace(reading.place, place) || !sameSet(reading.shaded, shaded)) continue;
    if (newest === null || Date.parse(reading.at) >= Date.parse(newest.at)) newest = reading;
  }
  return newest;
}

/** The setup with each dial where it stood when the room was read: at the light's own last reading before it. */
export function asRead(setup: Setup, reading: Reading): Setup {
  const lights = setup.lights.map((light): Light => {
    const dialStops = dialBefore(setup, light, Date.parse(reading.at));
    return dialStops === null || dialStops === light.dialStops ? light : { ...light, dialStops };
  });
  return lights.some((light, i) => light !== setup.lights[i]) ? { ...setup, lights } : setup;
}

function dialBefore(setup: Setup, light: Light, time: number): number | null {
  let newest: Reading | null = null;
  for (const reading of countedReadings(setup)) {
    const own = reading.kind === "alone" && reading.lightId === light.id && reading.dialStops !== null;
    if (!own || Date.parse(reading.at) > time) continue;
    if (newest === null || Date.parse(reading.at) >= Date.parse(newest.at)) newest = reading;
  }
  return newest?.dialStops ?? null;
}

const samePlace = (a: MeterPlace, b: MeterPlace): boolean =>
  a.point === b.point && a.receptor === b.receptor && a.aim === b.aim;

const sameSet = (a: readonly Id[], b: readonly Id[]): boolean =>
  a.length === b.length && a.every((id) => b.includes(id));
