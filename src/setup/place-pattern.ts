/**
 * Puts a starter pattern into a room with a kit: chooses pieces, sets cross, paper and camera, then places
 * light by light, each as near to its wish as walls, ceiling, furniture, the picture and the stands already
 * there allow, and off the way out where that is possible. What does not fit is always said. Pure: ids and
 * time come from the caller. Lengths in metres, angles in degrees.
 */

import { type Fault, fault } from "../units/index.ts";
import { type LightBody, lightBody } from "./light-body.ts";
import { type PatternCard, type PatternLight, patterns } from "./patterns.ts";
import { type Picked, Shelf } from "./pick.ts";
import { wrapDegrees } from "./place.ts";
import { placeAt, placeLight, placePanel } from "./place-pieces.ts";
import { type Ground, groundOf, groundWith, groundWithPanel, stageCost } from "./placing-cost.ts";
import { rigUp } from "./rig-up.ts";
import { overlapFaults } from "./space.ts";
import { type CrossShift, type PatternRequest, stage } from "./stage.ts";
import { clashFaults } from "./standing-things.ts";
import type { Backdrop, Id, KitPanel, Light, Setup } from "./types.ts";
import { hasWay, wayOutM, wayWidthM } from "./way-through.ts";

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
  const pieces: Pieces = {
    id: request.newId(),
    lights: plan.lights.map((wish, i) => ({
      ...shelf.light(wish, plan.medium, `lights[${i}]`),
      id: request.newId(),
    })),
    panels: plan.panels.map((wish, i) => ({ ...shelf.panel(wish, `panels[${i}]`), id: request.newId() })),
    paper: plan.paper === null ? null : shelf.backdrop(plan.paper.reflectance),
  };
  const best = bestAttempt(pattern, request, pieces);
  const rigged = rigUp(best.setup, request.kit);
  const setup = request.planDials === undefined ? rigged.setup : request.planDials(rigged.setup);
  const doesNotFit = [
    ...shelf.faults,
    ...best.faults,
    ...overlapFaults(setup),
    ...clashFaults(setup),
    ...supportFaults(setup),
    ...rigged.faults,
  ];
  return { setup, doesNotFit };
}

/** What the kit gives for a pattern, each with the id that it gets in the setup. */
interface Pieces {
  readonly id: Id;
  readonly lights: readonly (Picked & { readonly id: Id })[];
  readonly panels: readonly KitPanel[];
  readonly paper: Backdrop | null;
}

interface Attempt {
  readonly setup: Setup;
  readonly faults: readonly Fault[];
  readonly cost: number;
}

/** Where else the cross may go, m from the room's own: it is moved only where something is in the way. */
const crossShifts: readonly CrossShift[] = [0, 0.25, -0.25, 0.5, -0.5]
  .flatMap((rightM) => [0, 0.3, -0.3, 0.6, -0.6].map((forwardM) => ({ rightM, forwardM })))
  .slice(1);
const perShiftedMetre = 4;
const mostShifts = 4;
/** From this cost on something is in the way, and not just placed otherwise than wished. */
const inTheWay = 10;

/** The pattern about the room's own cross where that serves, else about the nearest that does, else with the least in the way. */
function bestAttempt(pattern: PatternCard, request: PatternRequest, pieces: Pieces): Attempt {
  const stageAt = (shift: CrossShift): Stage => {
    const faults: Fault[] = [];
    const setup = { ...stage(pattern, request, pieces.paper, faults, shift), id: pieces.id };
    const cost = stageCost(setup) + perShiftedMetre * (Math.abs(shift.rightM) + Math.abs(shift.forwardM));
    return { faults, setup, cost };
  };
  const attempt = (from: Stage, most: number): Attempt | null =>
    from.cost >= most ? null : fill(pattern, from, groundOf(from.setup, request.kit), pieces, most);
  const own = stageAt({ rightM: 0, forwardM: 0 });
  const served = attempt(own, inTheWay);
  if (served !== null) return served;
  const others = crossShifts.map(stageAt).sort((a, b) => a.cost - b.cost);
  const worth = others.slice(0, mostShifts);
  for (const each of worth) {
    const filled = attempt(each, inTheWay);
    if (filled !== null) return filled;
  }
  let best = null as Attempt | null;
  for (const each of [own, ...worth]) {
    best = attempt(each, best === null ? Number.POSITIVE_INFINITY : best.cost) ?? best;
  }
  if (best === null) throw new RangeError("no cross in the room");
  return best;
}

/** A room with its cross, paper and camera, what is wrong with them, and what that costs. */
interface Stage {
  readonly faults: readonly Fault[];
  readonly setup: Setup;
  readonly cost: number;
}

/** Panels and lights, one by one; null once it costs `most` or more. */
function fill({ plan }: PatternCard, start: Stage, bare: Ground, pieces: Pieces, most: number): Attempt | null {
  let [ground, cost] = [bare, start.cost];
  for (const [i, wish] of plan.panels.entries()) {
    const { count: _count, ...piece } = pieces.panels[i] as KitPanel;
    const placed = placePanel(ground, piece, wish, i);
    cost += placed.cost;
    ground = groundWithPanel(ground, placed.panel);
  }
  for (const [i, wish] of plan.lights.entries()) {
    if (cost >= most) return null;
    const light = startLight(ground.setup, wish, pieces.lights[i] as Pieces["lights"][number], i);
    const placed = placeLight(ground, light, wish, most - cost);
    if (placed === null) return null;
    cost += placed.cost;
    ground = groundWith(ground, placed.light);
  }
  return cost >= most ? null : { setup: ground.setup, faults: [...start.faults, ...wayFaults(ground)], cost };
}

function startLight(setup: Setup, wish: PatternLight, picked: Pieces["lights"][number], index: number): Light {
  const { head } = picked;
  const flash = head.kind === "flash";
  const circuits = setup.room.circuits;
  return {
    order: `a${index}`,
    tag: wish.tag,
    hue: (index % 8) + 1,
    role: wish.role,
    ...picked,
    rig: {
      legAzimuthDeg: wrapDegrees(wish.azimuthDeg + 180),
      sandbagKg: 0,
      bonded: false,
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

/** A way out that is narrower than a metre is said, with what it leaves. */
function wayFaults({ setup, floor }: Ground): readonly Fault[] {
  if (floor === null || hasWay(floor, wayOutM)) return [];
  const widthM = wayWidthM(setup) ?? wayOutM;
  if (widthM >= wayOutM) return [];
  const left = widthM === 0 ? "none" : `about ${(Math.floor(widthM * 20) / 20).toFixed(2)} m`;
  return [
    fault(
      "way-out",
      `The way to the door: ${wayOutM.toFixed(1)} m wanted, ${left} left`,
      "room.openings",
      "Move a light or the camera, or choose a roomier room.",
    ),
  ];
}

/** Stands too low or too tall for where their lights hang, booms out of reach. */
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
  });
  return faults;
}
