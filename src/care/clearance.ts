/**
 * Does everything stand inside the room and beside each other? Walls and ceiling, furniture, panels, fronts in
 * fronts; half a metre from detectors and sprinklers, and from the ceiling above a hot lamp (both common
 * practice, no source; a detector's own standard and the lamp's marking rule).
 */

import {
  type Furniture,
  type Light,
  type LightBody,
  panelOutline,
  type Room,
  type Setup,
  wallClearanceM,
} from "../setup/index.ts";
import type { Vec3 } from "../units/index.ts";
import { aboutLight, deferral, type Finding, figure, finding, metres, type Proposal, rigEdit } from "./finding.ts";
import { hotLampW } from "./heat.ts";
import { raised, shifted } from "./moves.ts";
import { distanceToSegment, throughBox, throughOutline } from "./solids.ts";
import { bodySegments, type Segment, upperPoints, type World } from "./world.ts";

const detectorM = 0.5;
const hotToCeilingM = 0.5;

/** fit:, clearance-…: one finding for each thing and what it meets. */
export function clearanceFindings(world: World): readonly Finding[] {
  return [
    ...world.lights.flatMap(({ light, body }) => [
      ...walls(world, light, body),
      ...furnitureHits(world, light, body),
      ...ceilingHeat(world, light, body),
      ...detectors(world, light, body),
    ]),
    ...panelHits(world),
    ...frontHits(world),
    ...panelWalls(world.setup),
  ];
}

interface Beyond {
  readonly words: string;
  /** How far past the wall (negative: how far short of it). */
  readonly pastM: number;
  /** Unit vector back into the room. */
  readonly inward: Vec3;
}

/** The wall or ceiling that points come nearest to, or go farthest through. */
function farthest(room: Room, points: readonly Vec3[]): Beyond {
  const [left, back] = [-room.crossFromLeftM, -room.crossFromBackM];
  const most = (of: (p: Vec3) => number): number =>
    points.reduce((m, p) => Math.max(m, of(p)), Number.NEGATIVE_INFINITY);
  const sides: readonly Beyond[] = [
    { words: "the wall, camera left", pastM: most((p) => left - p[0]), inward: [1, 0, 0] },
    { words: "the wall, camera right", pastM: most((p) => p[0] - left - room.widthM), inward: [-1, 0, 0] },
    { words: "the back wall", pastM: most((p) => back - p[2]), inward: [0, 0, 1] },
    { words: "the wall behind the camera", pastM: most((p) => p[2] - back - room.depthM), inward: [0, 0, -1] },
    { words: "the ceiling", pastM: most((p) => p[1] - room.heightM), inward: [0, -1, 0] },
  ];
  return sides.reduce((worst, side) => (side.pastM > worst.pastM ? side : worst));
}

function walls(world: World, light: Light, body: LightBody): readonly Finding[] {
  const { room } = world.setup;
  const upper = [...upperPoints(body), ...(body.boom === null ? [] : [body.boom.tail, body.boom.pivot])];
  const hit = farthest(room, upper);
  const legs = body.stand === null ? null : farthest(room, [body.stand.foot, ...body.stand.legEnds]);
  const found: Finding[] = [];
  if (hit.pastM > -wallClearanceM + 1e-6) {
    found.push(wallFinding(light, "front", hit, () => inwardMoves(world, light, hit)));
  }
  if (legs !== null && legs.pastM > 1e-6) {
    found.push(
      wallFinding(light, "legs", legs, () => [...legTurns(world, light, body), ...inwardMoves(world, light, legs)]),
    );
  }
  return found;
}

function wallFinding(light: Light, part: "front" | "legs", hit: Beyond, proposals: () => readonly Proposal[]): Finding {
  const through = hit.pastM > 1e-6;
  const cm = Math.max(1, Math.round(Math.abs(hit.pastM) * 100));
  const thing = part === "legs" ? `${light.tag}'s legs` : light.tag;
  return finding({
    id: part === "legs" ? `fit-legs:${light.id}` : `fit:${light.id}`,
    level: through ? "stop" : "care",
    topic: "fit",
    about: aboutLight(light),
    what: through ? `${thing} would stand ${cm} cm through ${hit.words}` : `${thing} is ${cm} cm from ${hit.words}`,
    why: through
      ? "It cannot stand there."
      : `${Math.round(wallClearanceM * 100)} cm is the least that hands and cloth need.`,
    figures: [figure("clearance", -hit.pastM, "m", part === "legs" ? 0 : wallClearanceM)],
    proposals,
  });
}

/** Straight away from the wall by what is missing, rounded up to 5 cm. */
function inwardMoves(world: World, light: Light, hit: Beyond): readonly Proposal[] {
  const byM = Math.ceil((hit.pastM + wallClearanceM + 0.001) * 20) / 20;
  const by: Vec3 = [hit.inward[0] * byM, hit.inward[1] * byM, hit.inward[2] * byM];
  return [
    {
      edits: [shifted(world.setup, light, by)],
      words: () => ({ label: `${light.tag} ${metres(byM, 2)} away from ${hit.words}`, leaves: "inside the room" }),
    },
  ];
}

function legTurns(world: World, light: Light, body: LightBody): readonly Proposal[] {
  const { room } = world.setup;
  const foot = body.stand?.foot ?? [0, 0, 0];
  const sector = 360 / light.support.legs;
  const turns = Array.from({ length: 12 }, (_, i) => Math.round(((i + 1) * sector) / 13));
  return turns.flatMap((turn): readonly Proposal[] => {
    const legAzimuthDeg = wrap(light.rig.legAzimuthDeg + turn);
    const ends = Array.from({ length: light.support.legs }, (_, i): Vec3 => {
      const a = ((legAzimuthDeg + i * sector) * Math.PI) / 180;
      return [foot[0] + light.support.footRadiusM * Math.sin(a), 0, foot[2] + light.support.footRadiusM * Math.cos(a)];
    });
    if (farthest(room, ends).pastM > 0) return [];
    return [
      {
        edits: [rigEdit(light, { legAzimuthDeg })],
        words: () => ({ label: `turn ${light.tag}'s legs by ${turn}°`, leaves: "legs inside the room" }),
      },
    ];
  });
}

const wrap = (deg: number): number => (deg > 180 ? deg - 360 : deg);

function boxOf(room: Room, piece: Furniture): readonly [Vec3, Vec3] {
  const [x, z] = [piece.fromLeftM - room.crossFromLeftM, piece.fromBackM - room.crossFromBackM];
  return [
    [x, 0, z],
    [x + piece.widthM, piece.heightM, z + piece.depthM],
  ];
}

function furnitureHits(world: World, light: Light, body: LightBody): readonly Finding[] {
  const { room } = world.setup;
  const segments = [...bodySegments(body), ...legSegments(body)];
  return room.furniture.flatMap((piece) => {
    const [low, high] = boxOf(room, piece);
    if (!segments.some((segment) => throughBox(segment, low, high))) return [];
    return [clash(world, light, `clearance-${piece.id}:${light.id}`, `${light.tag} stands in the ${piece.name}`)];
  });
}

/** Legs lie on the floor: a hand's breadth over it they meet furniture. */
const legSegments = (body: LightBody): readonly Segment[] =>
  body.stand === null
    ? []
    : body.stand.legEnds.map(
        (end): Segment => [
          [body.stand?.foot[0] ?? 0, 0.05, body.stand?.foot[2] ?? 0],
          [end[0], 0.05, end[2]],
        ],
      );

/** Two things at one place; mended by moving the light a little, whichever way is proved to work. */
function clash(world: World, light: Light, id: string, what: string): Finding {
  return finding({
    id,
    level: "stop",
    topic: "clearance",
    about: aboutLight(light),
    what,
    why: "Two things cannot stand at one place.",
    source: "geometry",
    proposals: () => sideSteps(world, light),
  });
}

function sideSteps(world: World, light: Light): readonly Proposal[] {
  return [0.1, 0.2, 0.4].flatMap((byM) =>
    (
      [
        ["to camera left", [-byM, 0, 0]],
        ["to camera right", [byM, 0, 0]],
        ["toward the camera", [0, 0, byM]],
        ["away from the camera", [0, 0, -byM]],
      ] as const
    ).map(
      ([words, by]): Proposal => ({
        edits: [shifted(world.setup, light, by)],
        words: () => ({ label: `${light.tag} ${metres(byM)} ${words}`, leaves: "clear of it" }),
      }),
    ),
  );
}

function panelHits(world: World): readonly Finding[] {
  const { setup } = world;
  return setup.panels.flatMap((panel) => {
    const outline = panelOutline(setup, panel);
    const edges = outline.map((p, i): Segment => [p, outline[(i + 1) % outline.length] as Vec3]);
    return world.lights.flatMap(({ light, body }) => {
      const hit =
        bodySegments(body).some((segment) => throughOutline(segment, outline)) ||
        edges.some((edge) => throughOutline(edge, body.front));
      return hit
        ? [clash(world, light, `clearance-${panel.id}:${light.id}`, `${light.tag} goes through the ${panel.name}`)]
        : [];
    });
  });
}

/** Each pair once; the later light on the ladder is the one to move. */
function frontHits(world: World): readonly Finding[] {
  return world.lights.flatMap((a, i) =>
    world.lights.slice(i + 1).flatMap((b) => {
      const hit =
        bodySegments(a.body).some((segment) => throughOutline(segment, b.body.front)) ||
        bodySegments(b.body).some((segment) => throughOutline(segment, a.body.front));
      const id = `clearance-${a.light.id}:${b.light.id}`;
      return hit ? [clash(world, b.light, id, `${b.light.tag} and ${a.light.tag} stand in each other`)] : [];
    }),
  );
}

function panelWalls(setup: Setup): readonly Finding[] {
  return setup.panels.flatMap((panel) => {
    const hit = farthest(setup.room, panelOutline(setup, panel));
    if (hit.pastM <= 1e-6) return [];
    return [
      finding({
        id: `fit:${panel.id}`,
        level: "stop",
        topic: "fit",
        about: { kind: "panel", id: panel.id, tag: panel.tag },
        what: `The ${panel.name} would stand ${Math.max(1, Math.round(hit.pastM * 100))} cm through ${hit.words}`,
        why: "It cannot stand there.",
        figures: [figure("clearance", -hit.pastM, "m", 0)],
      }),
    ];
  });
}

function ceilingHeat(world: World, light: Light, body: LightBody): readonly Finding[] {
  const hotW = hotLampW(light);
  const top = Math.max(...body.head.map(([, y]) => y), ...body.ring.map(([, y]) => y));
  const free = world.setup.room.heightM - top;
  if (hotW === 0 || free >= hotToCeilingM || free < 0) return [];
  return [
    finding({
      id: `clearance-ceiling:${light.id}`,
      level: "care",
      topic: "clearance",
      about: aboutLight(light),
      what: `${light.tag}: ${metres(free, 2)} over a burning lamp to the ceiling, ${metres(hotToCeilingM)} wanted`,
      why: `${hotW} W of heat rises straight into it.`,
      defer: deferral,
      source: "IEC 60598-1 (marked least distance to lighted objects, from memory); 0.5 m: common practice, no source",
      figures: [figure("head to ceiling", free, "m", hotToCeilingM)],
      proposals: () => [
        ...(light.modellingLampOn && light.head.kind === "flash" ? [lampOff(light)] : []),
        ...lowered(world, light),
      ],
    }),
  ];
}

const lampOff = (light: Light): Proposal => ({
  edits: [{ kind: "light", id: light.id, set: { modellingLampOn: false } }],
  words: () => ({ label: `${light.tag}'s modelling lamp off`, leaves: "no heat but from the pops" }),
});

function detectors(world: World, light: Light, body: LightBody): readonly Finding[] {
  const segments = bodySegments(body);
  return world.setup.room.detectors.flatMap(({ xM, yM, zM }, i) => {
    const least = Math.min(...segments.map((segment) => distanceToSegment([xM, yM, zM], segment)));
    if (least >= detectorM) return [];
    return [
      finding({
        id: `clearance-detector-${i}:${light.id}`,
        level: "care",
        topic: "clearance",
        about: aboutLight(light),
        what: `${light.tag} is ${metres(least, 2)} from a detector or sprinkler, ${metres(detectorM)} wanted`,
        why: "Heat and cloth beside it set it off, or hide the fire from it. Never cover one.",
        defer: deferral,
        figures: [figure("to the detector", least, "m", detectorM)],
        proposals: () => [...lowered(world, light), ...sideSteps(world, light)],
      }),
    ];
  });
}

const lowered = (world: World, light: Light): readonly Proposal[] =>
  [0.1, 0.2, 0.3, 0.4].flatMap((byM) => {
    const edit = raised(world.setup, light, -byM);
    return edit === null
      ? []
      : [{ edits: [edit], words: () => ({ label: `${light.tag} ${metres(byM)} lower`, leaves: "clear above" }) }];
  });
