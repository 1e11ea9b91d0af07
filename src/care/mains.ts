/**
 * What hangs on each circuit: modelling lamps and lamps that burn on, judged at 80 % of the breaker; and flash
 * heads while they charge, which may all charge at once. See electricity.ts.
 */

import type { Circuit, Light } from "../setup/index.ts";
import {
  chargingPowerFactor,
  circuitLoad,
  type Load,
  lampPowerFactor,
  lastingShare,
  rechargePower,
} from "./electricity.ts";
import { aboutLight, deferral, type Finding, figure, finding, joined, type Proposal } from "./finding.ts";
import type { CautionLevel } from "./types.ts";
import type { World } from "./world.ts";

/** Two of these on one circuit is enough (common practice, no source). */
const bigPackWs = 1000;

export function mainsFindings(world: World): readonly Finding[] {
  const { circuits } = world.setup.room;
  return [...circuits.flatMap((circuit) => circuitFindings(world, circuit)), ...unassigned(world)];
}

/** What burns for hours, W: lamps only, at full dial, as a plan must. */
const lasting = (light: Light): Load[] => {
  const powerW =
    light.head.kind === "continuous" ? (light.head.powerW ?? 0) : light.modellingLampOn ? light.head.modellingW : 0;
  return powerW > 0 ? [{ powerW, powerFactor: lampPowerFactor }] : [];
};

/** What a flash draws while it charges, W: as the kit says, else from its energy and recycle time. */
const charging = (light: Light): Load[] => {
  const { head } = light;
  if (head.kind !== "flash") return [];
  const powerW =
    head.powerW ?? (head.energyWs !== null && head.recycleS ? rechargePower(head.energyWs, head.recycleS) : 0);
  return powerW > 0 ? [{ powerW, powerFactor: chargingPowerFactor }] : [];
};

const onMains = (world: World): readonly Light[] => world.setup.lights.filter((light) => light.on && light.head.mains);

function circuitFindings(world: World, circuit: Circuit): readonly Finding[] {
  const lights = onMains(world).filter(({ circuitId }) => circuitId === circuit.id);
  if (lights.length === 0) return [];
  const burns = circuitLoad(circuit, lights.flatMap(lasting));
  const all = circuitLoad(
    circuit,
    lights.flatMap((light) => [...lasting(light), ...charging(light)]),
  );
  const packs = lights.filter(({ head }) => head.kind === "flash" && (head.energyWs ?? 0) >= bigPackWs);
  const level: CautionLevel =
    burns.share > 1 ? "stop" : burns.share > lastingShare || all.share > 1 || packs.length > 2 ? "care" : "done";
  const tags = joined(lights.map(({ tag }) => tag));
  const percent = (share: number): string => `${Math.round(share * 100)} %`;
  const underNec = circuit.volts <= 127;
  return [
    finding({
      id: `mains:${circuit.id}`,
      level,
      topic: "mains",
      about: { kind: "circuit", id: circuit.id, tag: "" },
      what:
        level === "done"
          ? `${circuit.name} carries ${tags}: ${all.currentA.toFixed(1)} A of ${circuit.amps} A while all charge`
          : burns.share > lastingShare
            ? `${circuit.name}: lamps on ${tags} take ${percent(burns.share)} of ${circuit.amps} A, 80 % wanted`
            : `${circuit.name}: ${tags} charging together take ${percent(all.share)} of ${circuit.amps} A`,
      why:
        level === "done"
          ? "Whatever else is plugged in there counts too. Unwind reels fully; residual-current protection always."
          : "The breaker drops in the middle of the take, or a lead gets warm. Unwind reels fully; residual-current protection always.",
      defer: deferral,
      source: underNec
        ? "lasting loads count 125 %: NEC 210.19(A), 210.20(A)"
        : "80 % as good practice (NEC 210.19(A), 210.20(A) where it rules); no general rule elsewhere",
      figures: [
        figure("lamps", burns.currentA, "A", lastingShare * circuit.amps),
        figure("with all flashes charging", all.currentA, "A", circuit.amps),
        figure("rating", all.ratingW, "W"),
      ],
      proposals: () => [
        ...toOtherCircuits(world, circuit, lights),
        ...lampsOff(circuit, lights),
        ...stagger(all.share),
      ],
    }),
  ];
}

/** One head over to a circuit that takes it: the lightest first. */
function toOtherCircuits(world: World, from: Circuit, lights: readonly Light[]): readonly Proposal[] {
  const draw = (light: Light): number =>
    [...lasting(light), ...charging(light)].reduce((sum, { powerW }) => sum + powerW, 0);
  const ordered = [...lights].sort((a, b) => draw(a) - draw(b));
  const others = world.setup.room.circuits.filter(({ id }) => id !== from.id);
  return others.flatMap((circuit) =>
    ordered.map((_, i) => {
      const moved = ordered.slice(0, i + 1);
      return plug(moved, circuit);
    }),
  );
}

const plug = (lights: readonly Light[], circuit: Circuit): Proposal => ({
  edits: lights.map((light) => ({ kind: "light", id: light.id, set: { circuitId: circuit.id } })),
  steps: lights.map(({ tag }) => `Plug ${tag} into ${circuit.name}.`),
  words: () => ({
    label: `${joined(lights.map(({ tag }) => tag))} to ${circuit.name}`,
    leaves: `${circuit.name} takes it too`,
  }),
});

function lampsOff(circuit: Circuit, lights: readonly Light[]): readonly Proposal[] {
  const burning = lights.filter(({ modellingLampOn, head }) => modellingLampOn && head.kind === "flash");
  if (burning.length === 0) return [];
  return [
    {
      edits: burning.map(({ id }) => ({ kind: "light", id, set: { modellingLampOn: false } })),
      words: () => ({
        label: `modelling lamps of ${joined(burning.map(({ tag }) => tag))} off`,
        leaves: `${circuit.name} carries the charging alone`,
      }),
    },
  ];
}

/** Work of hands: fewer heads charge at once. Nothing in the plan changes. */
const stagger = (share: number): readonly Proposal[] =>
  share <= 1
    ? []
    : [
        {
          edits: [],
          steps: ["Set the heads to slow or staggered charging, or leave three seconds between pops."],
          words: () => ({ label: "stagger the charging", leaves: "fewer heads charge at once" }),
        },
      ];

/** Heads on mains that no circuit is written for. */
function unassigned(world: World): readonly Finding[] {
  const { circuits } = world.setup.room;
  return onMains(world)
    .filter(({ circuitId }) => !circuits.some(({ id }) => id === circuitId))
    .map((light) =>
      finding({
        id: `mains-none:${light.id}`,
        level: "note",
        topic: "mains",
        about: aboutLight(light),
        what: `${light.tag}: no circuit written down`,
        why: "What nobody counted is what trips the breaker.",
        defer: deferral,
        proposals: () => circuits.map((circuit) => plug([light], circuit)),
      }),
    );
}
