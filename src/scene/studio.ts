/**
 * The room and what stands in it: walls, furniture, the backdrop with its sweep, panels. Walls are single sheets
 * that face inward. World axes, metres. Doors and windows are not modelled: a wall has its own reflectance all over.
 */

import { panelNormal, panelOutline, type Setup } from "../setup/index.ts";
import { addScaled, type Vec3 } from "../units/index.ts";
import type { Piece } from "./assemble.ts";
import { type Draft, finish, newDraft, type Part, polygon, quad, vertex } from "./part.ts";

/** A panel's thickness. */
const panelThicknessM = 0.005;
/** The sheet lies this far over floor or table. */
const sheetGapM = 0.003;

export const wallNames = ["floor", "ceiling", "left", "right", "back", "front"] as const;

/** Six walls facing inward, each with the material "wall:NAME". */
export function roomPiece({ room }: Setup): Piece {
  const [x0, x1] = [-room.crossFromLeftM, room.widthM - room.crossFromLeftM];
  const [z0, z1] = [-room.crossFromBackM, room.depthM - room.crossFromBackM];
  const h = room.heightM;
  const corners: Readonly<Record<(typeof wallNames)[number], readonly Vec3[]>> = {
    floor: [
      [x0, 0, z1],
      [x1, 0, z1],
      [x1, 0, z0],
      [x0, 0, z0],
    ],
    ceiling: [
      [x0, h, z0],
      [x1, h, z0],
      [x1, h, z1],
      [x0, h, z1],
    ],
    left: [
      [x0, 0, z1],
      [x0, 0, z0],
      [x0, h, z0],
      [x0, h, z1],
    ],
    right: [
      [x1, 0, z0],
      [x1, 0, z1],
      [x1, h, z1],
      [x1, h, z0],
    ],
    back: [
      [x0, 0, z0],
      [x1, 0, z0],
      [x1, h, z0],
      [x0, h, z0],
    ],
    front: [
      [x1, 0, z1],
      [x0, 0, z1],
      [x0, h, z1],
      [x1, h, z1],
    ],
  };
  return {
    name: "room",
    kind: "room",
    ownerId: null,
    parts: wallNames.map((wall) => flat(corners[wall], `wall:${wall}`)),
  };
}

export function furniturePieces({ room }: Setup): readonly Piece[] {
  return room.furniture.map((item) => {
    const draft = newDraft();
    const x = item.fromLeftM - room.crossFromLeftM;
    const z = item.fromBackM - room.crossFromBackM;
    box(draft, [x, 0.001, z], [x + item.widthM, item.heightM, z + item.depthM]);
    return { name: `furniture:${item.id}`, kind: "furniture", ownerId: item.id, parts: [finish(draft, "furniture")] };
  });
}

/** The paper: down its plane, round a quarter turn, out toward the camera over floor or table. */
export function backdropPiece(setup: Setup, groundM: number): Piece | null {
  const { backdrop } = setup;
  if (backdrop === null) return null;
  const foot = groundM + sheetGapM;
  const { zM, xM, widthM, heightM, sweepM } = backdrop;
  const radius = Math.max(0, Math.min(0.35, sweepM / 2, heightM - foot));
  const line: (readonly [y: number, z: number])[] = [[Math.max(heightM, foot), zM]];
  const steps = 14;
  for (let i = 0; i <= steps; i++) {
    const a = (Math.PI / 2) * (i / steps);
    line.push([foot + radius * (1 - Math.sin(a)), zM + radius * (1 - Math.cos(a))]);
  }
  if (sweepM > radius) line.push([foot, zM + sweepM]);
  const draft = newDraft();
  for (const [y, z] of line) {
    vertex(draft, xM - widthM / 2, y, z);
    vertex(draft, xM + widthM / 2, y, z);
  }
  for (let i = 0; i + 1 < line.length; i++) quad(draft, 2 * i, 2 * i + 2, 2 * i + 3, 2 * i + 1);
  return { name: "backdrop", kind: "backdrop", ownerId: null, parts: [finish(draft, "backdrop")] };
}

/** Thin boxes; the working face lies where the document says, the thickness behind it. */
export function panelPieces(setup: Setup): readonly Piece[] {
  return setup.panels.map((panel) => {
    const front = panelOutline(setup, panel);
    const behind = front.map((p) => addScaled(p, panelNormal(panel), -panelThicknessM));
    const back = newDraft();
    polygon(back, [...behind].reverse());
    front.forEach((p, i) => {
      const j = (i + 1) % front.length;
      polygon(back, [p, behind[i]!, behind[j]!, front[j]!]);
    });
    // The back of a mirror panel is plain.
    const rear = panel.finish === "mirror" ? "shell" : `panel:${panel.id}`;
    const parts: readonly Part[] = [flat(front, `panel:${panel.id}`), finish(back, rear)];
    return { name: `panel:${panel.id}`, kind: "panel", ownerId: panel.id, parts };
  });
}

/** A flat polygon as a part. */
export function flat(points: readonly Vec3[], material: string): Part {
  const draft = newDraft();
  polygon(draft, points);
  return finish(draft, material);
}

/** A box with flat faces, outward. */
export function box(draft: Draft, [x0, y0, z0]: Vec3, [x1, y1, z1]: Vec3): void {
  polygon(draft, [
    [x0, y0, z1],
    [x1, y0, z1],
    [x1, y1, z1],
    [x0, y1, z1],
  ]);
  polygon(draft, [
    [x1, y0, z0],
    [x0, y0, z0],
    [x0, y1, z0],
    [x1, y1, z0],
  ]);
  polygon(draft, [
    [x0, y0, z0],
    [x0, y0, z1],
    [x0, y1, z1],
    [x0, y1, z0],
  ]);
  polygon(draft, [
    [x1, y0, z1],
    [x1, y0, z0],
    [x1, y1, z0],
    [x1, y1, z1],
  ]);
  polygon(draft, [
    [x0, y1, z1],
    [x1, y1, z1],
    [x1, y1, z0],
    [x0, y1, z0],
  ]);
  polygon(draft, [
    [x0, y0, z0],
    [x1, y0, z0],
    [x1, y0, z1],
    [x0, y0, z1],
  ]);
}
