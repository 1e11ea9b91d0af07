/**
 * Light that the room gives back. Two models: the cavity average of the integrating sphere applied to a box,
 * E = Φ·ρ̄/(A·(1 − ρ̄)), good to half a stop; and patch radiosity (Goral et al. 1984, from memory) of the six
 * walls and the panels standing in the room, B = ρ·(E + F·B). The geometry part (form factors, factorised
 * system) serves every light and every setting; a solution belongs to one light where it stands; a gather
 * belongs to one meter position. Keep each for as long as its inputs are the same objects. All per unit of
 * flux that leaves the light: exitance B in 1/m², received M in 1/m². Lengths in m, world axes.
 * Not in it: furniture and people (pass them to `gatherRoom`), and where mirrors throw light onto walls.
 */

import type { Vec3 } from "../units/index.ts";
import { cross, length, subtract } from "../units/index.ts";
import type { ReflectingPanel } from "./bounce.ts";
import { panelOccluder, patchGrid } from "./bounce.ts";
import { DISC, frontFactor } from "./irradiance.ts";
import type { Weighting } from "./kernel.ts";
import { factorise, formFactors, SPOTS, solveInPlace, spotsOf } from "./radiosity.ts";
import { rayTests } from "./ray-tests.ts";
import type { Front, Occluder } from "./types.ts";

export interface WallReflectances {
  readonly ceiling: number;
  readonly floor: number;
  readonly left: number;
  readonly right: number;
  readonly back: number;
  readonly front: number;
}

/** A box room: left is min x, floor min y, back min z. Reflectances 0…1, below 1 somewhere. */
export interface RoomBox {
  readonly min: Vec3;
  readonly max: Vec3;
  readonly reflectance: WallReflectances;
}

export interface RoomGeometry {
  readonly patches: readonly Front[];
  readonly reflectance: Float64Array;
  /** Index of the panel a patch belongs to, −1 for walls. */
  readonly panelOf: Int32Array;
  /** Patches of a mirror's working side: their first bounce is the image's business (bounce.ts). */
  readonly mirror: Uint8Array;
  readonly blockers: readonly Occluder[];
  /** Form factors F_ij, row by row: rows sum to 1, A_i·F_ij = A_j·F_ji. */
  readonly factors: Float64Array;
  /** I − diag(ρ)·F in triangular factors, in place. */
  readonly system: Float64Array;
}

/** Exitance of every patch, 1/m² per unit of flux of the light. */
export interface RoomSolution {
  readonly geometry: RoomGeometry;
  readonly exitance: Float64Array;
  /** Direct illuminance of every patch, 1/m². */
  readonly direct: Float64Array;
}

/** What a receptor somewhere gets from each patch per unit of exitance. */
export interface RoomGather {
  readonly geometry: RoomGeometry;
  readonly weights: Float64Array;
}

/** M from walls and from panels, 1/m² per unit of flux; panels include their first bounce. */
export interface RoomShare {
  readonly walls: number;
  readonly panels: number;
}

/** Total surface, m². */
export function roomArea(room: RoomBox): number {
  const [w, h, d] = subtract(room.max, room.min);
  return 2 * (w * h + w * d + h * d);
}

/** Mean reflectance weighted by area. */
export function meanReflectance(room: RoomBox): number {
  const [w, h, d] = subtract(room.max, room.min);
  const r = room.reflectance;
  return (w * d * (r.ceiling + r.floor) + h * d * (r.left + r.right) + w * h * (r.back + r.front)) / roomArea(room);
}

/** Mean illuminance of the room's surfaces after the first bounce, per unit of flux, 1/m²: ρ̄/(A·(1 − ρ̄)). */
export function cavityAverage(room: RoomBox): number {
  const mean = meanReflectance(room);
  return mean / (roomArea(room) * (1 - mean));
}

/** Patch sizes, m: walls are smooth in what they give back, panels stand nearer. */
export interface PatchSizes {
  readonly wallM: number;
  readonly panelM: number;
}

export const USUAL_PATCHES: PatchSizes = { wallM: 1, panelM: 0.4 };

/** At most about so many patches of walls, and of panels: the work grows with the cube of their number. */
const MOST_PATCHES = 180;

/**
 * Patch sizes for a room: the usual ones, coarser in a hall or among many panels. A large room's walls are far
 * from the sitter, so that a patch keeps about the angle that it has in a small one.
 */
export function patchSizesFor(room: RoomBox, panels: readonly ReflectingPanel[]): PatchSizes {
  const area = panels.reduce((sum, panel) => sum + 2 * areaOf(panel), 0);
  return {
    wallM: Math.max(USUAL_PATCHES.wallM, Math.sqrt(roomArea(room) / MOST_PATCHES)),
    panelM: Math.max(USUAL_PATCHES.panelM, Math.sqrt(area / MOST_PATCHES)),
  };
}

function areaOf({ outline: [a, b, , d] }: ReflectingPanel): number {
  return length(cross(subtract(b, a), subtract(d, a)));
}

/** Cuts room and panels into patches, finds their form factors and factorises the system (tens of ms). */
export function roomGeometry(
  room: RoomBox,
  panels: readonly ReflectingPanel[] = [],
  sizes: PatchSizes = patchSizesFor(room, panels),
): RoomGeometry {
  const cut = cutRoom(room, panels, sizes);
  const blockers = panels.map(panelOccluder);
  const factors = formFactors(cut.patches, blockers);
  const reflectance = Float64Array.from(cut.reflectance);
  return {
    patches: cut.patches,
    reflectance,
    panelOf: Int32Array.from(cut.panelOf),
    mirror: Uint8Array.from(cut.mirror),
    blockers,
    factors,
    system: factorise(factors, reflectance),
  };
}

/** Where one light's flux ends up after all bounces. `occluders` are people in the way of the direct light. */
export function solveRoom(geometry: RoomGeometry, light: Front, occluders: readonly Occluder[] = []): RoomSolution {
  const { patches, reflectance, blockers, mirror } = geometry;
  const options = { occluders: [...blockers, ...occluders], shadeDetail: "rough" as const };
  const direct = new Float64Array(patches.length);
  let landed = 0;
  patches.forEach((patch, i) => {
    let sum = 0;
    for (const spot of spotsOf(patch)) sum += frontFactor(light, spot, patch.normal, DISC, options) / SPOTS;
    direct[i] = sum;
    landed += sum * patch.areaM2;
  });
  // In a closed room all of an open front's flux lands; sampling misses a little of it, so balance the books.
  const open = !light.grid && !light.lipM && !light.web && occluders.length === 0;
  const balance = open && landed > 0.5 ? 1 / landed : 1;
  const exitance = new Float64Array(patches.length);
  for (let i = 0; i < patches.length; i++) {
    direct[i] = (direct[i] as number) * balance;
    exitance[i] = mirror[i] ? 0 : (reflectance[i] as number) * (direct[i] as number);
  }
  solveInPlace(geometry.system, exitance);
  return { geometry, exitance, direct };
}

/** How much each patch counts at a receptor. `axis` is a unit vector; `occluders` are people in between. */
export function gatherRoom(
  geometry: RoomGeometry,
  point: Vec3,
  axis: Vec3,
  receptor: Weighting,
  occluders: readonly Occluder[] = [],
): RoomGather {
  const tests = rayTests([...geometry.blockers, ...occluders], point);
  const weights = new Float64Array(geometry.patches.length);
  geometry.patches.forEach((patch, i) => {
    const [x, y, z] = patch.centre;
    const seen = frontFactor(patch, point, axis, receptor) * patch.areaM2;
    weights[i] = seen > 0 && !tests.some((test) => test(x, y, z)) ? seen : 0;
  });
  return { geometry, weights };
}

/** M that one light's solution gives at one gather. Throws RangeError when they are of different rooms. */
export function roomShare(solution: RoomSolution, gather: RoomGather): RoomShare {
  if (solution.geometry !== gather.geometry) throw new RangeError("the light and the meter stand in different rooms");
  const { panelOf } = solution.geometry;
  let walls = 0;
  let panels = 0;
  for (let i = 0; i < panelOf.length; i++) {
    const part = (solution.exitance[i] as number) * (gather.weights[i] as number);
    if ((panelOf[i] as number) < 0) walls += part;
    else panels += part;
  }
  return { walls, panels };
}

interface Cut {
  readonly patches: Front[];
  readonly reflectance: number[];
  readonly panelOf: number[];
  readonly mirror: number[];
}

type Corners = readonly [Vec3, Vec3, Vec3, Vec3];

function cutRoom(room: RoomBox, panels: readonly ReflectingPanel[], sizes: PatchSizes): Cut {
  const cut: Cut = { patches: [], reflectance: [], panelOf: [], mirror: [] };
  const lay = (corners: Corners, reflectance: number, sizeM: number, panel: number, mirror: boolean): void => {
    const count = (to: Vec3): number => Math.max(1, Math.ceil(Math.hypot(...subtract(to, corners[0])) / sizeM - 1e-9));
    for (const patch of patchGrid(corners, count(corners[1]), count(corners[3]))) {
      cut.patches.push(patch);
      cut.reflectance.push(reflectance);
      cut.panelOf.push(panel);
      cut.mirror.push(mirror ? 1 : 0);
    }
  };
  for (const [corners, reflectance] of wallsOf(room)) lay(corners, reflectance, sizes.wallM, -1, false);
  panels.forEach((panel, i) => {
    const [a, b, c, d] = panel.outline;
    lay([a, b, c, d], panel.reflectance, sizes.panelM, i, panel.finish === "mirror");
    lay([b, a, d, c], panel.backReflectance ?? panel.reflectance, sizes.panelM, i, false);
  });
  return cut;
}

/** Corners counter-clockwise seen from inside. */
function wallsOf(room: RoomBox): [Corners, number][] {
  const [x0, y0, z0] = room.min;
  const [x1, y1, z1] = room.max;
  const r = room.reflectance;
  return [
    [
      [
        [x0, y0, z1],
        [x1, y0, z1],
        [x1, y0, z0],
        [x0, y0, z0],
      ],
      r.floor,
    ],
    [
      [
        [x0, y1, z0],
        [x1, y1, z0],
        [x1, y1, z1],
        [x0, y1, z1],
      ],
      r.ceiling,
    ],
    [
      [
        [x0, y0, z0],
        [x1, y0, z0],
        [x1, y1, z0],
        [x0, y1, z0],
      ],
      r.back,
    ],
    [
      [
        [x1, y0, z1],
        [x0, y0, z1],
        [x0, y1, z1],
        [x1, y1, z1],
      ],
      r.front,
    ],
    [
      [
        [x0, y0, z1],
        [x0, y0, z0],
        [x0, y1, z0],
        [x0, y1, z1],
      ],
      r.left,
    ],
    [
      [
        [x1, y0, z0],
        [x1, y0, z1],
        [x1, y1, z1],
        [x1, y1, z0],
      ],
      r.right,
    ],
  ];
}
