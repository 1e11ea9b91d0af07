/**
 * Ways to reach a target that the dial cannot reach: distance (solved on the real front), neutral density,
 * a layer of cloth or the grid on or off, sensitivity or aperture for all. Each is edits on the setup; each
 * was carried out on a copy and predicted again before it is offered: it meets the target, puts no other
 * light out of reach, and says whether it fits the room. One layer of cloth takes about a stop (0.7…1.3,
 * common practice, no source).
 */

import { apparentSolidAngle, moveForGain, stopsOfDensity } from "../photometry/index.ts";
import {
  applyEdits,
  asPolar,
  bodyPoints,
  type Edit,
  type Light,
  lightBody,
  type Place,
  polarOf,
  type Setup,
  targetAv,
  toleranceOf,
} from "../setup/index.ts";
import { addScaled, iso, length, normalize, printDial, printIso, stops, subtract, type Vec3 } from "../units/index.ts";
import type { OwnReport } from "./light-report.ts";
import { planTurn, wantedChange } from "./light-report.ts";
import { type Engine, predictAlone } from "./predict.ts";
import { type Lit, spotOf } from "./scene.ts";
import { softnessChangePercent } from "./similar.ts";
import type { Turn, WayOut } from "./types.ts";

/** Densities that are sold as sheets. */
const DENSITIES = [0.3, 0.6, 0.9, 1.2] as const;
/** What one layer of cloth takes, stops (common practice, no source: 0.7…1.3). */
const LAYER_STOPS = 1;

/** What a way wants done, before it is proved. */
interface Proposal {
  readonly kind: WayOut["kind"];
  /** What is done, without the dial. */
  readonly what: string;
  readonly edits: readonly Edit[];
  readonly note: string;
  /** Softness where the outline's solid angle does not tell. */
  readonly softnessPercent?: number;
}

/** The ways that work, least change to the look first; none while the dial reaches the target. */
export function waysOut(engine: Engine, setup: Setup, lit: Lit, report: OwnReport): readonly WayOut[] {
  const turn = report.turn ?? report.plan;
  if (turn.state !== "over" && turn.state !== "short") return [];
  // Judge by what the meter said where it said something: as one further calibration of this light.
  const learned = report.turn === null || report.predicted.av === null || report.readingAv === null ? 0 : turn.stops;
  const shift = learned === 0 ? 0 : (wantedChange(report.predicted, report.targetAv) ?? 0) - learned;
  const judged = shift === 0 ? setup : withCalibration(setup, lit.light, shift);
  const over = turn.state === "over";
  const proposals = [
    ...(over ? densityOn(lit.light) : densityOff(lit.light)),
    ...distance(engine, judged, lit, turn.residualStops),
    ...(over ? layerOn(lit.light) : layerOff(lit.light)),
    ...(over ? [] : gridOff(engine, judged, lit)),
    ...(over ? stopDown(judged, turn.residualStops) : moreSensitive(judged, -turn.residualStops)),
  ];
  // The first that works of each kind; what follows of its kind is not even tried.
  const found: WayOut[] = [];
  for (const proposal of proposals) {
    if (found.some(({ kind }) => kind === proposal.kind)) continue;
    const way = prove(engine, judged, lit.light, proposal);
    if (way) found.push(way);
  }
  return found;
}

/** Carries a proposal out on a copy, turns the dial, predicts again; null when it does not meet the target. */
function prove(engine: Engine, setup: Setup, light: Light, proposal: Proposal): WayOut | null {
  const changed = applyEdits(setup, proposal.edits);
  if (!changed.ok) return null;
  const turn = planOf(engine, changed.value, light.id);
  if (turn === null || turn.state !== "planned") return null;
  const edits = [...proposal.edits, dialEdit(light.id, turn.dialToStops)];
  const others: Edit[] = [];
  if (proposal.kind === "exposure") {
    for (const other of changed.value.lights) {
      if (other.id === light.id) continue;
      const plan = planOf(engine, changed.value, other.id);
      if (plan === null || plan.state === "over" || plan.state === "short") return null;
      others.push(dialEdit(other.id, plan.dialToStops));
    }
  }
  const done = applyEdits(setup, [...edits, ...others]);
  if (!done.ok) return null;
  const after = done.value.lights.find(({ id }) => id === light.id) as Light;
  const dial = printDial(stops(turn.dialToStops), after.head.dial);
  return {
    kind: proposal.kind,
    label: `${proposal.what}, dial ${dial}`,
    edits: [...edits, ...others],
    dialStops: turn.dialToStops,
    dial,
    residualStops: turn.residualStops,
    softnessPercent: proposal.softnessPercent ?? softnessOf(engine, setup, done.value, light.id),
    fits: fitsRoom(done.value, after) && clearOfSitter(done.value, after),
    note: proposal.note,
  };
}

function planOf(engine: Engine, setup: Setup, lightId: string): Turn | null {
  const lit = engine.sceneOf(setup).lights.get(lightId);
  if (!lit) return null;
  const { light } = lit;
  const predicted = predictAlone(engine, setup, lit, light.meterAt);
  return planTurn(light, predicted, targetAv(setup, light), toleranceOf(light));
}

function densityOn(light: Light): Proposal[] {
  return DENSITIES.map((density) => ({
    kind: "nd",
    what: `ND ${density}`,
    edits: [{ kind: "light", id: light.id, set: { ndStops: light.ndStops + stopsOfDensity(density) } }],
    note: "softness stays; keep it off a hot modelling lamp",
  }));
}

function densityOff(light: Light): Proposal[] {
  if (light.ndStops <= 0) return [];
  return [
    {
      kind: "nd",
      what: "neutral density off",
      edits: [{ kind: "light", id: light.id, set: { ndStops: 0 } }],
      note: "softness stays",
    },
  ];
}

/** Along the line from the meter through the front, as far as the last stops ask; a centimetre is as fine as a tape. */
function distance(engine: Engine, setup: Setup, lit: Lit, residualStops: number): Proposal[] {
  const { light, front } = lit;
  const spot = spotOf(engine.sceneOf(setup), light.meterAt, lit, engine.scenes);
  const away = subtract(front.centre, spot.position);
  const proposals: Proposal[] = [];
  // The room's part falls more slowly than the straight light: try a little further too.
  for (const more of [0, 0.1, 0.2, 0.35, 0.5]) {
    const gain = -residualStops - Math.sign(residualStops) * more;
    const move = moveForGain(front, spot.position, spot.axis, { kind: spot.receptor }, stops(gain));
    if (move === null) return proposals;
    const reach = Math.ceil((length(away) + move) * 100 - 1e-6) / 100;
    const centre = addScaled(spot.position, normalize(away), reach);
    proposals.push(moveTo(setup, light, front.centre, centre, residualStops > 0));
  }
  return proposals;
}

function moveTo(setup: Setup, light: Light, from: Vec3, to: Vec3, back: boolean): Proposal {
  const cartesian: Place = { kind: "cartesian", xM: to[0], yM: to[1], zM: to[2] };
  const place = light.place.kind === "polar" ? asPolar(cartesian, setup) : cartesian;
  const { distanceM, heightM } = polarOf(to, setup);
  const { boom } = light.rig;
  const [dx, dy, dz] = subtract(to, from);
  const rig =
    boom === null
      ? light.rig
      : {
          ...light.rig,
          boom: {
            ...boom,
            standXM: boom.standXM + dx,
            standZM: boom.standZM + dz,
            pivotHeightM: boom.pivotHeightM + dy,
          },
        };
  return {
    kind: "distance",
    what: `${back ? "back" : "in"} to ${distanceM.toFixed(2)} m`,
    edits: [{ kind: "light", id: light.id, set: { place, rig } }],
    note:
      boom === null
        ? `${heightM.toFixed(2)} m high; the same direction`
        : `${heightM.toFixed(2)} m high; lower, hold, rebalance: a boom is not moved in one go`,
  };
}

const CLOTH = new Set(["rectangle", "octagon", "disc", "umbrella"]);

function layerOn(light: Light): Proposal[] {
  const { modifier } = light;
  if (!CLOTH.has(modifier.shape)) return [];
  const missing = (["inner", "front"] as const).find((layer) => !modifier.layers.includes(layer));
  if (!missing) return [];
  const changed = {
    ...modifier,
    layers: [...modifier.layers, missing],
    transmission: modifier.transmission * 2 ** -LAYER_STOPS,
  };
  return [
    {
      kind: "diffuser",
      what: `${missing} diffuser on`,
      edits: [{ kind: "light", id: light.id, set: { modifier: changed } }],
      note: "evens the front; takes 0.7 to 1.3 stops, meter it again",
    },
  ];
}

function layerOff(light: Light): Proposal[] {
  const { modifier } = light;
  if (!modifier.layers.includes("inner")) return [];
  const changed = {
    ...modifier,
    layers: modifier.layers.filter((layer) => layer !== "inner"),
    transmission: Math.min(1, modifier.transmission * 2 ** LAYER_STOPS),
  };
  return [
    {
      kind: "diffuser",
      what: "inner diffuser off",
      edits: [{ kind: "light", id: light.id, set: { modifier: changed } }],
      note: "the middle of the front gets hotter; gives 0.7 to 1.3 stops, meter it again",
    },
  ];
}

/** Without its grid a front is seen whole: how much larger it gets is the part that the cells had hidden. */
function gridOff(engine: Engine, setup: Setup, lit: Lit): Proposal[] {
  const { light, front } = lit;
  const { grid, widthM, heightM } = light.modifier;
  if (grid === null) return [];
  const spot = spotOf(engine.sceneOf(setup), light.meterAt, lit, engine.scenes);
  const window = (2 * length(subtract(front.centre, spot.position)) * grid.cellM) / grid.depthM;
  const seen = Math.min(1, window / widthM) * Math.min(1, window / heightM);
  return [
    {
      kind: "grid",
      what: "grid off",
      edits: [{ kind: "light", id: light.id, set: { modifier: { ...light.modifier, grid: null } } }],
      note: "it spills: look at the lens and the backdrop again",
      softnessPercent: softnessChangePercent(seen, 1),
    },
  ];
}

/** A smaller aperture raises every target; third stops. */
function stopDown(setup: Setup, residualStops: number): Proposal[] {
  const steps = thirds(residualStops);
  return steps.map((change) => ({
    kind: "exposure",
    what: `aperture ${changeOf(change)} smaller for all, the others up as much`,
    edits: [{ kind: "exposure", set: { apertureAv: setup.exposure.apertureAv + change } }],
    note: "more depth of field; every light is turned",
  }));
}

function moreSensitive(setup: Setup, missingStops: number): Proposal[] {
  return thirds(missingStops).map((change) => {
    const speed = setup.exposure.iso * 2 ** change;
    return {
      kind: "exposure",
      what: `ISO ${printIso(iso(speed))} for all, the others down as much`,
      edits: [{ kind: "exposure", set: { iso: speed } }],
      note: "more noise; every light is turned; set the meter too",
    };
  });
}

/** The change that is enough in thirds of a stop, and one and two thirds more. */
function thirds(change: number): number[] {
  const least = Math.ceil(change * 3 - 1e-6);
  return [least, least + 1, least + 2].map((n) => n / 3);
}

const changeOf = (change: number): string => `${change.toFixed(1)} stop`;

const dialEdit = (id: string, dialStops: number): Edit => ({ kind: "light", id, set: { dialStops } });

function withCalibration(setup: Setup, light: Light, shift: number): Setup {
  const calibrationStops = (light.calibrationStops ?? 0) + shift;
  return {
    ...setup,
    lights: setup.lights.map((other) => (other.id === light.id ? { ...other, calibrationStops } : other)),
  };
}

function softnessOf(engine: Engine, before: Setup, after: Setup, lightId: string): number {
  const [from, to] = [before, after].map((setup) => {
    const scene = engine.sceneOf(setup);
    const lit = scene.lights.get(lightId) as Lit;
    return apparentSolidAngle(lit.front, spotOf(scene, lit.light.meterAt, lit, engine.scenes).position);
  }) as [number, number];
  return from > 0 ? softnessChangePercent(from, to) : 0;
}

/** Every point of the light and what carries it stands inside the walls. */
export function fitsRoom(setup: Setup, light: Light): boolean {
  const { room } = setup;
  const left = -room.crossFromLeftM;
  const back = -room.crossFromBackM;
  return bodyPoints(lightBody(setup, light)).every(
    ([x, y, z]) =>
      x >= left && x <= left + room.widthM && y >= -1e-9 && y <= room.heightM && z >= back && z <= back + room.depthM,
  );
}

/** No part of the front comes nearer to the nose than this, m. */
const NEAREST_M = 0.35;

function clearOfSitter(setup: Setup, light: Light): boolean {
  const nose: Vec3 = [0, setup.subject.noseHeightM, 0];
  return bodyPoints(lightBody(setup, light)).every((point) => length(subtract(point, nose)) >= NEAREST_M);
}
