/**
 * Heat and stored charge. A front's own limit comes first; a closed front without one takes an LED or a lamp
 * of 150 W, 250 W at the most (common practice, no source). Lamps of less than 60 lm/W count as hot; from
 * 100 W on they burn what they touch (common practice, no source). Photo-flash capacitors stand at 250 to
 * 900 V; about 10 J can kill (texts on flash tubes); IEC 60491 covers units to 2000 J.
 */

import type { Light } from "../setup/index.ts";
import { lethalJ } from "./electricity.ts";
import { aboutLight, aboutSetup, deferral, type Finding, figure, finding, joined, type Proposal } from "./finding.ts";
import type { World } from "./world.ts";

const closedFrontW = 150;
const closedFrontStopW = 250;
const hotFromW = 100;
const hotBelowLmPerW = 60;
const clothM = 0.5;

/** Power that heats the front, W: the modelling lamp, or a continuous lamp of poor efficacy. */
const lampW = (light: Light): number => {
  if (!light.on) return 0;
  if (light.head.kind === "flash") return light.modellingLampOn ? light.head.modellingW : 0;
  return light.head.efficacy < hotBelowLmPerW ? (light.head.powerW ?? 0) : 0;
};

/** The same where it is enough to burn, else 0. */
export const hotLampW = (light: Light): number => (lampW(light) >= hotFromW ? lampW(light) : 0);

export function heatFindings(world: World): readonly Finding[] {
  return [
    ...world.lights.flatMap(({ light }) => [...frontHeat(light), ...gelHeat(light)]),
    ...backdropHeat(world),
    ...capacitors(world),
  ];
}

const closed = (light: Light): boolean => light.modifier.layers.includes("front");

function frontHeat(light: Light): readonly Finding[] {
  const watts = lampW(light);
  const limit = light.modifier.maxModellingW ?? (closed(light) ? closedFrontW : null);
  if (limit === null || watts <= limit) return [];
  const stop = light.modifier.maxModellingW !== null || watts > closedFrontStopW;
  return [
    finding({
      id: `heat:${light.id}`,
      level: stop ? "stop" : "care",
      topic: "heat",
      about: aboutLight(light),
      what: `${light.tag}: a lamp of ${watts} W in the ${light.modifier.name}, which takes ${limit} W`,
      why: "Cloth scorches, gels melt, and what burns hangs near a face.",
      defer: deferral,
      source:
        light.modifier.maxModellingW === null
          ? "closed fronts take an LED or 150 to 250 W: common practice, no source"
          : "the front's own limit as the kit keeps it",
      figures: [figure("lamp", watts, "W", limit)],
      proposals: () => lampOff(light),
    }),
  ];
}

function lampOff(light: Light): readonly Proposal[] {
  if (light.head.kind !== "flash") return [];
  return [
    {
      edits: [{ kind: "light", id: light.id, set: { modellingLampOn: false } }],
      steps: ["Let it cool before hands or cloth touch it."],
      words: () => ({ label: `${light.tag}'s modelling lamp off`, leaves: "no lamp burns in the front" }),
    },
  ];
}

function gelHeat(light: Light): readonly Finding[] {
  const watts = hotLampW(light);
  if (watts === 0 || (light.gels.length === 0 && light.ndStops === 0)) return [];
  return [
    finding({
      id: `heat-gel:${light.id}`,
      level: "note",
      topic: "heat",
      about: aboutLight(light),
      what: `${light.tag}: keep the gel off the lamp of ${watts} W`,
      why: "A gel on a hot lamp fades, then melts: leave air behind it, or switch the lamp off between looks.",
      defer: deferral,
      source: "IEC 60598-1 (marked least distance to lighted objects, from memory)",
      figures: [figure("lamp", watts, "W", hotFromW)],
      proposals: () => lampOff(light),
    }),
  ];
}

function backdropHeat(world: World): readonly Finding[] {
  const { backdrop } = world.setup;
  if (backdrop === null) return [];
  return world.lights.flatMap(({ light, body }) => {
    const watts = hotLampW(light);
    if (watts === 0) return [];
    const least = Math.min(
      ...[...body.front, ...body.head].map(([x, y, z]) => {
        const dx = Math.max(0, Math.abs(x - backdrop.xM) - backdrop.widthM / 2);
        return Math.hypot(dx, Math.max(0, y - backdrop.heightM), z - backdrop.zM);
      }),
    );
    if (least >= clothM) return [];
    return [
      finding({
        id: `heat-paper:${light.id}`,
        level: "care",
        topic: "heat",
        about: aboutLight(light),
        what: `${light.tag}: a lamp of ${watts} W ${least.toFixed(2)} m from the ${backdrop.name}, ${clothM} m wanted`,
        why: "Paper and cloth take fire from a lamp that leans into them.",
        defer: deferral,
        source:
          "IEC 60598-1 (marked least distance to lighted objects, from memory); 0.5 m: common practice, no source",
        figures: [figure("lamp to paper", least, "m", clothM)],
        proposals: () => lampOff(light),
      }),
    ];
  });
}

/** One note for all flash heads: what a switched-off head still holds. */
function capacitors(world: World): readonly Finding[] {
  const heads = world.lights.filter(({ light }) => light.head.kind === "flash" && (light.head.energyWs ?? 0) >= 1);
  if (heads.length === 0) return [];
  const most = Math.max(...heads.map(({ light }) => light.head.energyWs ?? 0));
  return [
    finding({
      id: "capacitors:setup",
      level: "note",
      topic: "capacitors",
      about: aboutSetup,
      what: `Flash heads hold up to ${most} J when off: ${joined(heads.map(({ light }) => light.tag))}. Dump, switch off, unplug, wait, never open`,
      why: `About ${lethalJ} J can kill. Wait as long as the maker says, half an hour if nobody knows; swap heads on a pack only when it is off and dumped.`,
      defer: deferral,
      source: "IEC 60491 (flash units to 2000 J); 10 J: texts on flash tubes",
      figures: [figure("stored energy", most, "J", lethalJ)],
    }),
  ];
}
