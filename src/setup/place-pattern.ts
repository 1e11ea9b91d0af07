/**
 * Puts a starter pattern into a room with a kit: chooses pieces, sets cross, paper and camera, then places
 * light by light, each as near to its wish as walls, ceiling, furniture, the picture and the stands already
 * there allow, and off the way out where that is possible. What does not fit is always said. Pure: ids and
 * time come from the caller. Lengths in metres, angles in degrees.
 */

import { distance, type Fault, fault } from "../units/index.ts";
import { hangBoom } from "./boom-place.ts";
import { type LightBody, lightBody } from "./light-body.ts";
import { type PatternLight, type PatternPanel, patterns } from "./patterns.ts";
import { type Picked, Shelf } from "./pick.ts";
import { wrapDegrees } from "./place.ts";
import { obstructionCost } from "./placing-cost.ts";
import { overlapFaults, wallClearanceM } from "./space.ts";
import { type PatternRequest, stage } from "./stage.ts";
import type { Id, Light, Panel, Setup } from "./types.ts";

export interface PlacedPattern {
  readonly setup: Setup;
  /** What the kit lacks, where the room is too small, what stands in the way. Empty: it all fits. */
  readonly doesNotFit: readonly Fault[];
}

/** @throws RangeError when there is no such pattern (programmer mistake). */
export function placePattern(patternId: string, request: PatternRequest): PlacedPattern {
  const pattern = patterns.find((card) => card.id === patternId);
  if (pattern === undefined) throw new RangeError(`no pattern "${patternId}"`);
  const { plan } = pattern;
  const shelf = new Shelf(request.kit);
  const picked = plan.lights.map((wish, i) => shelf.light(wish, plan.medium, `lights[${i}]`));
  const faults: Fault[] = [];
  const paper = plan.paper === null ? null : shelf.backdrop(plan.paper.reflectance);
  let setup = stage(pattern, request, paper, faults);
  plan.panels.forEach((wish, i) => {
    const item = shelf.panel(wish, `panels[${i}]`);
    const { count: _count, ...piece } = item;
    setup = { ...setup, panels: [...setup.panels, placePanel(setup, { ...piece, id: request.newId() }, wish, i)] };
  });
  plan.lights.forEach((wish, i) => {
    const light = startLight(setup, wish, picked[i] as Picked, i, request.newId());
    setup = { ...setup, lights: [...setup.lights, placeLight(setup, light, wish)] };
  });
  if (request.planDials !== undefined) setup = request.planDials(setup);
  const doesNotFit = [...shelf.faults, ...faults, ...overlapFaults(setup), ...supportFaults(setup)];
  return { setup, doesNotFit };
}

function startLight(setup: Setup, wish: PatternLight, picked: Picked, index: number, id: Id): Light {
  const { head } = picked;
  const flash = head.kind === "flash";
  const circuits = setup.room.circuits;
  return {
    id,
    order: `a${index}`,
    tag: wish.tag,
    hue: (index % 8) + 1,
    role: wish.role,
    ...picked,
    rig: {
      legAzimuthDeg: wrapDegrees(wish.azimuthDeg + 180),
      sandbagKg: wish.boom ? 10 : 0,
      bonded: wish.boom,
      boom: null,
    },
    place: placeAt(setup, wish.azimuthDeg, wish.distanceM, wish.riseM),
    aim: { kind: "point", point: wish.aimAt },
    rollDeg: wish.rollDeg,
    dialStops: Math.max(-3, lowestDial(picked)),
    on: true,
    pops: 1,
    gels: [],
    ndStops: 0,
    target: wish.target,
    meterAt: wish.meterAt,
    toleranceStops: null,
    triggerGroup: flash ? String(index + 1) : "",
    triggerChannel: flash ? "1" : "",
    circuitId: head.mains ? (circuits[index % Math.max(1, circuits.length)]?.id ?? null) : null,
    modellingLampOn: false,
    calibrationStops: null,
    calibratedFrom: null,
    accepted: false,
  };
}

function lowestDial({ head }: Picked): number {
  return head.dial.kind === "percent" ? Math.log2(head.dial.lowestPercent / 100) : head.dial.lowestStops;
}

/** A polar place that is always possible: a rise beyond the distance is cut to 0.95 of it. */
function placeAt(setup: Setup, azimuthDeg: number, distanceM: number, riseM: number): Light["place"] {
  const rise = Math.max(-0.95 * distanceM, Math.min(0.95 * distanceM, riseM));
  const heightM = Math.max(0.1, setup.subject.noseHeightM + rise);
  const round = (value: number): number => Math.round(value * 100) / 100;
  return { kind: "polar", azimuthDeg: wrapDegrees(azimuthDeg), distanceM: round(distanceM), heightM: round(heightM) };
}

interface Candidate {
  readonly cost: number;
  readonly place: Light["place"];
}

const turns = [0, 5, -5, 10, -10, 15, -15, 20, -20, 30, -30];
/** Toward the nose's height, m. */
const levellings = [0, 0.1, 0.2, 0.35, 0.5];

/** Every place a light may take, the nearest to its wish first: closer, turned, nearer to level. */
function candidatesFor(setup: Setup, wish: PatternLight): readonly Candidate[] {
  const list: Candidate[] = [];
  for (let distanceM = wish.distanceM; distanceM >= wish.leastM - 1e-9; distanceM -= 0.1) {
    for (const turn of turns) {
      for (const level of levellings) {
        const cost = Math.log2(wish.distanceM / distanceM) * 8 + Math.abs(turn) / 5 + level * 8;
        list.push({
          cost,
          place: placeAt(setup, wish.azimuthDeg + turn, distanceM, wish.riseM - Math.sign(wish.riseM) * level),
        });
      }
    }
  }
  return list.sort((a, b) => a.cost - b.cost);
}

/** The best place: no wall, ceiling or stand in the way if that can be had, then the nearest to the wish. */
function placeLight(setup: Setup, light: Light, wish: PatternLight): Light {
  let best: { cost: number; light: Light } | null = null;
  const standing = setup.lights.map((other) => lightBody(setup, other));
  for (const candidate of candidatesFor(setup, wish)) {
    // Costs only grow from here on: nothing later can beat a place without obstruction.
    if (best !== null && candidate.cost >= best.cost) break;
    const placed = { ...light, place: candidate.place };
    const hung = wish.boom && light.support.kind === "boom" ? hangBoom(setup, placed) : [placed];
    for (const option of hung) {
      const cost = candidate.cost + costOf(setup, option, standing);
      if (best === null || cost < best.cost) best = { cost, light: option };
    }
  }
  return best?.light ?? light;
}

function costOf(setup: Setup, light: Light, standing: readonly LightBody[]): number {
  const body = lightBody(setup, light);
  const top = body.stand?.top[1] ?? 0;
  const unreachable =
    light.support.kind === "stand" && (top > light.support.maxHeightM || top < light.support.minHeightM);
  return obstructionCost(setup, body, standing) + (unreachable ? 40 : 0);
}

/** Cards and flags face the nose; they come nearer until they stand inside the room. */
function placePanel(
  setup: Setup,
  piece: Omit<Panel, "order" | "tag" | "hue" | "place" | "facingDeg" | "tiltDeg" | "target">,
  wish: PatternPanel,
  index: number,
): Panel {
  const place = (distanceM: number, turn: number): Panel => {
    const azimuth = ((wish.azimuthDeg + turn) * Math.PI) / 180;
    const low = setup.subject.kind === "object" ? setup.subject.noseHeightM : 0;
    const heightM = Math.max(
      piece.heightM / 2,
      low,
      Math.min(setup.subject.noseHeightM, setup.room.heightM - piece.heightM / 2 - wallClearanceM),
    );
    return {
      ...piece,
      order: `p${index}`,
      tag: wish.tag,
      hue: ((index + 5) % 8) + 1,
      place: { kind: "cartesian", xM: distanceM * Math.sin(azimuth), yM: heightM, zM: distanceM * Math.cos(azimuth) },
      facingDeg: wrapDegrees(wish.azimuthDeg + turn + 180),
      tiltDeg: 0,
      target: wish.target,
    };
  };
  for (let distanceM = wish.distanceM; distanceM >= 0.4; distanceM -= 0.1) {
    for (const turn of [0, 10, -10, 20, -20]) {
      const panel = place(distanceM, turn);
      if (!overlapFaults({ ...setup, panels: [panel], lights: [] }).some((f) => f.where.startsWith("panels")))
        return panel;
    }
  }
  return place(wish.distanceM, 0);
}

/** Stands too low or too tall for where their lights hang, stands in each other's way, booms out of reach. */
function supportFaults(setup: Setup): readonly Fault[] {
  const faults: Fault[] = [];
  const bodies = setup.lights.map((light) => lightBody(setup, light));
  setup.lights.forEach((light, i) => {
    const body = bodies[i] as LightBody;
    const where = `lights[${i}].support`;
    const top = body.stand?.top[1] ?? 0;
    if (body.stand !== null && (top > light.support.maxHeightM + 1e-9 || top < light.support.minHeightM - 1e-9)) {
      faults.push(
        fault(
          "support-reach",
          `${light.tag} hangs at ${top.toFixed(2)} m, but its ${light.support.name} goes from ${light.support.minHeightM} to ${light.support.maxHeightM} m`,
          where,
          "Use another stand, or another height.",
        ),
      );
    }
    if (body.boom !== null && body.boom.reachM > light.support.boomReachM + 1e-9) {
      faults.push(
        fault(
          "support-reach",
          `${light.tag} hangs ${body.boom.reachM.toFixed(2)} m from its pivot, further than the arm reaches`,
          where,
          "Set the boom stand nearer.",
        ),
      );
    }
    bodies.slice(0, i).forEach((other, j) => {
      if (body.stand !== null && other.stand !== null && distance(body.stand.foot, other.stand.foot) < 0.25) {
        faults.push(
          fault(
            "in-the-way",
            `${light.tag} and ${setup.lights[j]?.tag} stand on one spot`,
            `lights[${i}].place`,
            "Move one of them, or hang it on a boom.",
          ),
        );
      }
    });
  });
  return faults;
}
