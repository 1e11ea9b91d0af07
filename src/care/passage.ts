/**
 * The way out of the room stays 1.0 m wide and its door opens (escape path; common practice, no source: local
 * fire code rules). The way is searched on the plan (way-out-search.ts); mends turn the legs of the stand
 * that narrows it, walk the light round the nose at the same distance, or both.
 */

import { type Light, positionOf, wrapDegrees } from "../setup/index.ts";
import {
  aboutLight,
  aboutRoom,
  deferral,
  type Finding,
  figure,
  finding,
  joined,
  metres,
  type Proposal,
  rigEdit,
  sideWords,
} from "./finding.ts";
import { swungRound } from "./moves.ts";
import { wayOutM } from "./way-out-grid.ts";
import type { Owner } from "./way-out-plan.ts";
import type { WayOut } from "./way-out-search.ts";
import type { World } from "./world.ts";

/** Nobody gets past without turning sideways (common practice, no source). */
const stopM = 0.6;
/** A tape is not finer than this. */
const slackM = 0.005;

export function passageFindings(world: World): readonly Finding[] {
  const way = world.wayOut();
  if (way === null) return [noDoor()];
  return [widthFinding(world, way), ...leafFindings(way)];
}

const noDoor = (): Finding =>
  finding({
    id: "way-out:room",
    level: "note",
    topic: "way-out",
    about: aboutRoom,
    what: "No door is drawn in this room: the way out is not checked",
    why: `Keep ${metres(wayOutM)} free from the sitter to the door.`,
  });

function widthFinding(world: World, way: WayOut): Finding {
  const good = way.widthM >= wayOutM - slackM;
  const names = joined([...new Set(way.between.map(({ words }) => words))]);
  const width = metres(Math.floor(way.widthM * 20 + 1e-6) / 20, 2).replace(/0 m$/, " m");
  const side = /camera (left|right)/.test(names) ? "" : `, ${sideWords(way.at[0])}`;
  const narrowing = good ? undefined : lightsAt(world, way)[0];
  return finding({
    id: "way-out:room",
    level: good ? "done" : way.widthM < stopM ? "stop" : "care",
    topic: "way-out",
    about: narrowing === undefined ? aboutRoom : aboutLight(narrowing.light),
    what: good
      ? `Way out by the ${way.door.name}: ${metres(wayOutM)} or more all the way`
      : `Way out by the ${way.door.name}: ${metres(wayOutM)} wanted, ${width} left${names === "" ? "" : ` between ${names}${side}`}`,
    why: good
      ? "Everybody gets out in the dark."
      : "In the dark and in a hurry somebody falls over it, and the stand with them.",
    defer: good ? "" : deferral,
    source: "free width 1.0 m: common practice, no source; local fire code rules; widest path (bottleneck), geometry",
    figures: [figure("narrowest place", way.widthM, "m", wayOutM)],
    proposals: () => (good ? [] : wider(world, way)),
  });
}

/** The lights on either side of the narrowest place. */
const lightsAt = (world: World, way: WayOut): World["lights"] =>
  world.lights.filter(({ light }) => way.between.some(({ kind, id }) => kind === "light" && id === light.id));

/** Legs first, then the light round the nose, then both. */
function wider(world: World, way: WayOut): readonly Proposal[] {
  const lights = lightsAt(world, way);
  const legs = lights.flatMap(({ light, body }) => (body.stand === null ? [] : legTurns(light, body.stand.foot, way)));
  const legsNarrow = legs.filter(({ light }) => way.between.some((owner) => owner.legs && owner.id === light.id));
  const moves = lights.flatMap(({ light }) => sideMoves(world, light));
  const both = legs
    .filter((_, i) => i % legTurnsEach < 2)
    .flatMap((turn) => sideMoves(world, turn.turned).map((move) => join(turn, move)));
  return [...legsNarrow.map(({ proposal }) => proposal), ...moves.map(({ proposal }) => proposal), ...both];
}

const legTurnsOff = [0, 15, -15, 30, -30] as const;
const legTurnsEach = legTurnsOff.length;

interface LegTurn {
  readonly light: Light;
  readonly turned: Light;
  readonly proposal: Proposal;
}

/** A side of the foot, not a corner, toward the narrow place; then a few turns about that. */
function legTurns(light: Light, foot: readonly number[], way: WayOut): readonly LegTurn[] {
  const [x, z] = way.at;
  const toward = (Math.atan2(x - (foot[0] ?? 0), z - (foot[2] ?? 0)) * 180) / Math.PI;
  const flat = toward + 180 / light.support.legs;
  return legTurnsOff.map((off) => {
    const legAzimuthDeg = Math.round(wrapDegrees(flat + off));
    const turned = { ...light, rig: { ...light.rig, legAzimuthDeg } };
    const proposal: Proposal = {
      edits: [rigEdit(light, { legAzimuthDeg })],
      words: (after) => ({
        label: `turn ${light.tag}'s legs: ${widthWords(after)}`,
        leaves: `way out ${widthWords(after)}`,
      }),
    };
    return { light, turned, proposal };
  });
}

interface SideMove {
  readonly proposal: Proposal;
  readonly words: string;
}

/** Round the nose by about 0.1 to 0.4 m either way: distance and height stay, so does the reading alone. */
function sideMoves(world: World, light: Light): readonly SideMove[] {
  const [x, , z] = positionOf(light.place, world.setup);
  const levelM = Math.hypot(x, z);
  if (levelM < 0.3) return [];
  return [0.1, 0.2, 0.3, 0.4].flatMap((byM) =>
    [1, -1].map((sign): SideMove => {
      const degrees = (sign * byM * 180) / (levelM * Math.PI);
      const { edit, movedM } = swungRound(world.setup, light, degrees);
      const goesLeft = sign * z < 0;
      const words = `${light.tag} ${metres(movedM)} round the nose to camera ${goesLeft ? "left" : "right"}`;
      const proposal: Proposal = {
        edits: [edit],
        steps: [`Move ${words}, the same distance and height; meter it again.`],
        words: (after) => ({ label: `${words}: ${widthWords(after)}`, leaves: `way out ${widthWords(after)}` }),
      };
      return { proposal, words };
    }),
  );
}

const join = (legs: LegTurn, move: SideMove): Proposal => ({
  ...move.proposal,
  words: (after) => ({
    label: `turn ${legs.light.tag}'s legs and ${move.words}: ${widthWords(after)}`,
    leaves: `way out ${widthWords(after)}`,
  }),
});

function widthWords(after: Finding | undefined): string {
  const widthM = after?.figures[0]?.value ?? 0;
  return widthM >= wayOutM - slackM ? metres(wayOutM) : metres(Math.floor(widthM * 20) / 20, 2);
}

/** The door's own leaf: the plan does not say at which end it hangs, so both quarter circles are looked at. */
function leafFindings(way: WayOut): readonly Finding[] {
  const { low, high, blockedBy } = way.leaf;
  if (low && high) return [];
  const names = joined([...new Set(blockedBy.map((owner: Owner) => owner.words))]);
  const both = !low && !high;
  return [
    finding({
      id: `way-out-leaf:${way.door.id}`,
      level: both ? "care" : "note",
      topic: "way-out",
      about: aboutRoom,
      what: both
        ? `The ${way.door.name} opens inward onto ${names}`
        : `The ${way.door.name} opens inward: ${names} would stand in the leaf's way if it hangs at that end`,
      why: "A leaf that meets a stand neither opens nor stays shut.",
      defer: deferral,
      source: "geometry",
      proposals: () => [
        {
          edits: [],
          steps: [`Hook the ${way.door.name} open before building, or clear what stands in its sweep.`],
          words: () => ({ label: `hook the ${way.door.name} open`, leaves: "the leaf stands out of the way" }),
        },
      ],
    }),
  ];
}
