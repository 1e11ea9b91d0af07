/** What goes into the van: counted from the setup, then the small things that every set needs (common practice). */

import type { Setup } from "../../setup/index.ts";
import { backdropName, runsOf } from "../words.ts";
import type { CheckItem } from "./block.ts";
import { kilos } from "./order.ts";

export function packingList(setup: Setup): readonly CheckItem[] {
  const { lights, panels, camera, backdrop } = setup;
  const booms = lights.flatMap((l) => (l.rig.boom === null || l.support.kind !== "boom" ? [] : [l.rig.boom]));
  const bags = lights.filter((l) => l.rig.sandbagKg > 0).map((l) => l.rig.sandbagKg);
  const bonds = lights.filter((l) => l.rig.bonded).length;
  const mains = lights.filter((l) => l.head.mains).length;
  const cordless = lights.length - mains;
  const gels = new Set(lights.flatMap((l) => l.gels.map((gel) => gel.name)));
  const densities = lights.filter((l) => l.ndStops > 0).length;
  const hair = new Set(setup.sitters.map((s) => s.hair));
  const items: readonly string[] = [
    ...counted(lights.map((l) => l.head.name)),
    ...counted(lights.map((l) => l.modifier.name)),
    ...[...gels].map((name) => `gel ${name}`),
    densities > 0 ? `neutral density for ${densities} ${densities === 1 ? "light" : "lights"}` : "",
    ...counted(panels.map((p) => p.name)),
    backdrop === null ? "" : `${backdropName(backdrop, "metres")}, 2 stands, bar`,
    ...counted(lights.filter((l) => l.support.kind !== "ceiling").map((l) => l.support.name)),
    ...counted(booms.filter((b) => b.counterweightKg > 0).map((b) => `counterweight ${kilos(b.counterweightKg)}`)),
    bags.length > 0
      ? `${bags.length} ${bags.length === 1 ? "bag" : "bags"}, ${kilos(bags.reduce((a, b) => a + b, 0))} in all`
      : "sandbags",
    bonds > 0 ? `${bonds} safety ${bonds === 1 ? "bond" : "bonds"}` : "",
    mains > 0 ? `${mains} mains ${mains === 1 ? "cable" : "cables"}, reels, ramps` : "",
    cordless > 0 ? "batteries, charged, and spares" : "",
    `${lights.length} ${lights.length === 1 ? "trigger" : "triggers"}, spare cells`,
    "meter, spare cell",
    `camera, ${camera.focalLengthMm} mm, tripod`,
    "grey card",
    setup.subject.kind === "person" && setup.subject.pose === "seated" ? "adjustable stool" : "",
    hair.size > 1 ? "list of sitters by hair" : "",
    "tape measure, floor tape, string",
    "clamps, gloves",
    "this sheet",
  ];
  return items.filter((item) => item !== "").map((item) => ({ words: runsOf(item) }));
}

/** "3 mains heads 400 Ws" from three equal names; one stands without a number. */
function counted(names: readonly string[]): readonly string[] {
  const counts = new Map<string, number>();
  for (const name of names) counts.set(name, (counts.get(name) ?? 0) + 1);
  return [...counts].map(([name, count]) => (count === 1 ? name : `${count} × ${name}`));
}
