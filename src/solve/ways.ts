/**
 * The ways of light from a front to a spot: straight, by way of panels, by way of the room. Each is M per
 * unit of flux leaving the front (1/m²) with the ledger rows that explain it. The room's radiosity is kept
 * per room, its answer to a light per place of that light, what a spot gathers per spot: moving one light
 * recomputes that light alone. Shade by people is counted toward the spot, not on the walls.
 */

import {
  type FrontGain,
  frontGain,
  gatherRoom,
  panelFactor,
  type RoomGather,
  type RoomGeometry,
  type RoomSolution,
  roomGeometry,
  roomShare,
  solveRoom,
} from "../photometry/index.ts";
import { directRows, panelRow, roomRow } from "./geometry-rows.ts";
import { type Kept, keep } from "./kept.ts";
import type { RowSeed } from "./ledger.ts";
import type { Lit, Scene, Spot } from "./scene.ts";

/** One light at one spot. */
export interface Ways {
  readonly gain: FrontGain;
  readonly direct: readonly RowSeed[];
  readonly returned: Returned;
}

/** What comes back from panels and room; null rows where nothing does. */
export interface Returned {
  readonly panels: number;
  readonly walls: number;
  readonly panelRows: readonly RowSeed[] | null;
  readonly roomRows: readonly RowSeed[] | null;
}

/** Memory of ways, for one solver. */
export interface WayMemory {
  readonly gains: Kept<{ readonly gain: FrontGain; readonly rows: readonly RowSeed[] }>;
  readonly returns: Kept<Returned>;
  readonly rooms: Kept<RoomGeometry>;
  readonly solutions: Kept<RoomSolution>;
  readonly gathers: Kept<RoomGather>;
}

export const wayMemory = (): WayMemory => ({
  gains: keep(12_000),
  returns: keep(12_000),
  rooms: keep(4),
  solutions: keep(48),
  gathers: keep(256),
});

/** All ways from a light to a spot. */
export function waysTo(scene: Scene, lit: Lit, spot: Spot, memory: WayMemory): Ways {
  const { gain, rows } = directWay(scene, lit, spot, memory);
  return { gain, direct: rows, returned: returnedTo(scene, lit, spot, memory) };
}

/** The straight way. */
export function directWay(
  scene: Scene,
  lit: Lit,
  spot: Spot,
  memory: WayMemory,
): { readonly gain: FrontGain; readonly rows: readonly RowSeed[] } {
  return memory.gains.get(`${scene.spotsId} ${scene.shadeId} ${spot.key} ${lit.frontId} ${lit.light.id}`, () => {
    const gain = frontGain(lit.front, spot.position, spot.axis, { kind: spot.receptor }, scene.occluders);
    return { gain, rows: directRows(lit.front, gain, lit.axial, spot.words, `place:${lit.light.id}`) };
  });
}

/** What panels and room give back of a light. A room that reflects nothing gives nothing. */
export function returnedTo(scene: Scene, lit: Lit, spot: Spot, memory: WayMemory): Returned {
  const roomKey = `${scene.roomId}`;
  const spotKey = `${scene.roomId} ${scene.spotsId} ${spot.key}`;
  return memory.returns.get(`${spotKey} ${lit.frontId}`, () => {
    const room = memory.rooms.get(roomKey, () => roomGeometry(scene.box, scene.panels));
    const solution = memory.solutions.get(`${roomKey} ${lit.frontId}`, () => solveRoom(room, lit.front));
    const gather = memory.gathers.get(spotKey, () =>
      gatherRoom(room, spot.position, spot.axis, { kind: spot.receptor }, scene.people),
    );
    // A solution kept from a room that was forgotten meanwhile belongs to another object: solve again.
    const solved = solution.geometry === gather.geometry ? solution : solveRoom(gather.geometry, lit.front);
    const share = roomShare(solved, gather);
    const panels = share.panels + mirrored(scene, lit, spot);
    return {
      panels,
      walls: share.walls,
      panelRows: panels > 0 ? [panelRow(panels, lit.axial, spot.words)] : null,
      roomRows: share.walls > 0 ? [roomRow(share.walls, lit.axial, spot.words)] : null,
    };
  });
}

/** The first bounce of mirrors, which radiosity leaves out. */
function mirrored(scene: Scene, lit: Lit, spot: Spot): number {
  let sum = 0;
  for (const panel of scene.panels) {
    if (panel.finish !== "mirror") continue;
    sum += panelFactor(lit.front, panel, spot.position, spot.axis, { kind: spot.receptor }, scene.people);
  }
  return sum;
}
