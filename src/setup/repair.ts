/**
 * References that point nowhere, mended the same way everywhere: a missing circuit or calibration reading
 * becomes null. The repair is in the value that is returned, never written back by whoever reads. A
 * reading whose light is gone is no fault: readings outlive their lights. Documents merged from two
 * peers may also hold a polar place that the other's nose height made impossible; asked to, it is moved
 * straight above or below the nose, the nearest possible place at that height.
 */

import { placeFault } from "./place.ts";
import type { Kit, Light, Place, Setup } from "./types.ts";

/** What was mended, where, in words. */
export interface Repair {
  readonly code: "circuit-gone" | "reading-gone" | "room-gone" | "place-moved";
  readonly what: string;
  readonly where: string;
}

export interface RepairOptions {
  /** For a document merged from several devices: move impossible places rather than refuse them. */
  readonly merged?: boolean;
}

/** The setup with its references whole. The same object when nothing was wrong. */
export function repairSetup(setup: Setup, options: RepairOptions = {}): { setup: Setup; repairs: readonly Repair[] } {
  const repairs: Repair[] = [];
  const circuits = new Set(setup.room.circuits.map((circuit) => circuit.id));
  const readings = new Set(setup.readings.map((reading) => reading.id));
  const lights = setup.lights.map((light, i): Light => {
    let mended = light;
    if (light.circuitId !== null && !circuits.has(light.circuitId)) {
      repairs.push({
        code: "circuit-gone",
        what: `${light.tag} was on a circuit that is gone`,
        where: `lights[${i}].circuitId`,
      });
      mended = { ...mended, circuitId: null };
    }
    if (light.calibratedFrom !== null && !readings.has(light.calibratedFrom)) {
      repairs.push({
        code: "reading-gone",
        what: `${light.tag} was calibrated from a reading that is gone`,
        where: `lights[${i}].calibratedFrom`,
      });
      mended = { ...mended, calibratedFrom: null };
    }
    return moved(mended, setup, `lights[${i}].place`, options, repairs);
  });
  const panels = setup.panels.map((panel, i) => moved(panel, setup, `panels[${i}].place`, options, repairs));
  return repairs.length === 0 ? { setup, repairs } : { setup: { ...setup, lights, panels }, repairs };
}

/** The kit with the room one is in among its rooms, or none. */
export function repairKit(kit: Kit): { kit: Kit; repairs: readonly Repair[] } {
  if (kit.roomHereId === null || kit.rooms.some((room) => room.id === kit.roomHereId)) return { kit, repairs: [] };
  const repairs: readonly Repair[] = [{ code: "room-gone", what: "The room one is in is gone", where: "roomHereId" }];
  return { kit: { ...kit, roomHereId: null }, repairs };
}

function moved<T extends { readonly place: Place; readonly tag: string }>(
  thing: T,
  setup: Setup,
  where: string,
  options: RepairOptions,
  repairs: Repair[],
): T {
  const { place } = thing;
  if (options.merged !== true || place.kind !== "polar" || placeFault(place, setup, where) === null) return thing;
  const distanceM = Math.abs(place.heightM - setup.subject.noseHeightM);
  repairs.push({ code: "place-moved", what: `${thing.tag} could not be that near at that height`, where });
  return { ...thing, place: { ...place, distanceM } };
}
