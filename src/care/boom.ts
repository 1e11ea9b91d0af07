/**
 * A boom: in balance, its counterweight seen and clear of heads, within its arm; and how it is built and
 * struck. A boom is never re-hung in one go: lower, hold, rebalance. The edit only records the new figure.
 */

import { type Light, type LightBody, lightBody, type Setup, wrapDegrees } from "../setup/index.ts";
import { leastSum } from "./bags.ts";
import {
  aboutLight,
  deferral,
  type Finding,
  figure,
  finding,
  kilos,
  metres,
  type Proposal,
  rigEdit,
} from "./finding.ts";
import { boomBalance, counterweightAtM } from "./lever.ts";
import { leverOf, loadKg } from "./masses.ts";
import type { World } from "./world.ts";

/** A clamp and a scale are good to this at the tail (common practice, no source). */
const balancedWithinKg = 0.1;
/** Out by more than this share, the arm drops as soon as it is unlocked (common practice, no source). */
const stopShare = 0.25;
/** Somebody who stands or gets up meets what hangs in this band, m. */
const headBandM = [1.2, 2.1] as const;
const nearM = 0.5;

/** boom:, boom-arm:, boom-tail: and boom-mark: LIGHT. */
export function boomFindings(world: World): readonly Finding[] {
  return world.lights.flatMap(({ light, body }) => {
    if (body.boom === null) return [];
    return [...balance(world, light, body), ...armLength(light, body), ...tail(world, light, body)];
  });
}

function balance(world: World, light: Light, body: LightBody): readonly Finding[] {
  const lever = leverOf(light, body);
  if (lever === null || body.boom === null) return [];
  const setKg = body.boom.counterweightKg;
  const needKg = Math.round(boomBalance(lever, setKg).counterweightKg * 10) / 10;
  const off = Math.abs(setKg - needKg);
  const good = off <= balancedWithinKg + 1e-9;
  const level = good ? "done" : off > stopShare * Math.max(needKg, 0.1) ? "stop" : "care";
  const load = `${kilos(lever.loadKg)} at ${metres(lever.loadM, 2)}`;
  return [
    finding({
      id: `boom:${light.id}`,
      level,
      topic: "boom",
      about: aboutLight(light),
      what: good
        ? `${light.tag} boom: ${load}, in balance with ${kilos(setKg)}`
        : `${light.tag} boom: ${load}, counterweight ${kilos(setKg)} where ${kilos(needKg)} balances`,
      why: good ? "Unlocked, the arm stays where it is." : "Unlocked, the heavier end drops.",
      defer: deferral,
      source: "moments about the pivot (statics); order of work: common practice, no source",
      figures: [
        figure("counterweight that balances", needKg, "kg"),
        figure("counterweight set", setKg, "kg", needKg),
        figure("load", lever.loadKg, "kg"),
        figure("pivot to load", lever.loadM, "m"),
        figure("pivot to counterweight", lever.tailM, "m"),
      ],
      proposals: () => (good ? [] : [rebalance(world, light, body, needKg)]),
    }),
  ];
}

function rebalance(world: World, light: Light, body: LightBody, needKg: number): Proposal {
  return {
    edits: boomEdit(light, { counterweightKg: needKg }),
    steps: rehangSteps(world, light, body, needKg),
    words: () => ({
      label: `counterweight ${kilos(needKg)}: lower, hold, rebalance`,
      leaves: `in balance with ${kilos(needKg)} at ${metres(light.support.boomTailM, 2)}`,
    }),
  };
}

function boomEdit(light: Light, change: Partial<NonNullable<Light["rig"]["boom"]>>): Proposal["edits"] {
  return light.rig.boom === null ? [] : [rigEdit(light, { boom: { ...light.rig.boom, ...change } })];
}

/** What hands do whenever something on the arm changes. */
export function rehangSteps(world: World, light: Light, body: LightBody, counterweightKg: number): readonly string[] {
  return [
    "Nobody under it.",
    "Lower the arm and lock the pivot; a second person holds the arm.",
    `Counterweight ${kilos(counterweightKg)} at ${metres(light.support.boomTailM, 2)} from the pivot${otherWeight(world, light, body, counterweightKg)}.`,
    "Unlock only to balance, then lock.",
    "Look at bond and bag; raise; push test: no leg lifts.",
  ];
}

/** A weight that the kit has, farther in on the tail, does the same. */
function otherWeight(world: World, light: Light, body: LightBody, needKg: number): string {
  const lever = leverOf(light, body);
  const weights = world.kit?.counterweightsKg ?? [];
  const weightKg = leastSum(weights, needKg);
  if (lever === null || weightKg === null || Math.abs(weightKg - needKg) <= balancedWithinKg) return "";
  const at = counterweightAtM(lever, weightKg);
  return at === null ? "" : `; the kit's ${kilos(weightKg)} does the same at ${metres(at, 2)}`;
}

function armLength(light: Light, body: LightBody): readonly Finding[] {
  const reachM = body.boom?.reachM ?? 0;
  if (reachM <= light.support.boomReachM + 0.005) return [];
  return [
    finding({
      id: `boom-arm:${light.id}`,
      level: "stop",
      topic: "boom",
      about: aboutLight(light),
      what: `${light.tag} boom: the arm reaches ${metres(light.support.boomReachM, 2)}, ${metres(reachM, 2)} is planned`,
      why: "No arm is pulled out farther than its stop.",
      defer: deferral,
      source: "geometry",
      figures: [figure("pivot to load", reachM, "m", light.support.boomReachM)],
      proposals: () => closer(light, body, reachM),
    }),
  ];
}

/** The stand nearer to the load, along the arm as it lies in the plan. */
function closer(light: Light, body: LightBody, reachM: number): readonly Proposal[] {
  const { boom } = light.rig;
  if (boom === null || body.boom === null) return [];
  const [lx, , lz] = body.boom.load;
  const level = Math.hypot(lx - boom.standXM, lz - boom.standZM);
  const drop = Math.sqrt(Math.max(0, reachM ** 2 - level ** 2));
  const wanted = Math.sqrt(Math.max(0, (light.support.boomReachM - 0.02) ** 2 - drop ** 2));
  if (!(wanted > 0.2) || level <= wanted) return [];
  const t = wanted / level;
  const edits = boomEdit(light, {
    standXM: round2(lx - (lx - boom.standXM) * t),
    standZM: round2(lz - (lz - boom.standZM) * t),
  });
  const by = metres(level - wanted, 2);
  return [
    {
      edits,
      words: () => ({
        label: `boom stand ${by} nearer`,
        leaves: `arm out to ${metres(light.support.boomReachM - 0.02, 2)}`,
      }),
    },
  ];
}

/** The counterweight's end: at head height it is marked; over somebody or over the way out it must not hang. */
function tail(world: World, light: Light, body: LightBody): readonly Finding[] {
  if (body.boom === null) return [];
  const [x, y, z] = body.boom.tail;
  const found: Finding[] = [];
  const about = aboutLight(light);
  const near = world.people.some((person) => Math.hypot(person.xM - x, person.zM - z) < nearM);
  const way = world.wayOut();
  const overWay = way?.path.some(([px, pz]) => Math.hypot(px - x, pz - z) < nearM) ?? false;
  if (near || overWay) {
    found.push(
      finding({
        id: `boom-tail:${light.id}`,
        level: near ? "stop" : "care",
        topic: "boom",
        about,
        what: `${light.tag} boom: the counterweight hangs over ${near ? "somebody's place" : "the way out"}`,
        why: `${kilos(body.boom.counterweightKg)} at ${metres(y)} over a head.`,
        defer: deferral,
        figures: [figure("height of the counterweight", y, "m")],
        proposals: () => swung(light, body),
      }),
    );
  }
  if (y > headBandM[0] && y < headBandM[1]) {
    found.push(
      finding({
        id: `boom-mark:${light.id}`,
        level: "note",
        topic: "boom",
        about,
        what: `${light.tag} boom: mark the counterweight, it hangs at head height, ${metres(y)}`,
        why: "Who gets up or walks past meets it with the head: white tape or foam, and nobody walks there.",
        defer: deferral,
        figures: [figure("height of the counterweight", y, "m", headBandM[1])],
      }),
    );
  }
  return found;
}

/** The stand walked about the load, arm as long as before: only the stand moves. */
function swung(light: Light, body: LightBody): readonly Proposal[] {
  const { boom } = light.rig;
  if (boom === null || body.boom === null) return [];
  const [lx, , lz] = body.boom.load;
  const [dx, dz] = [boom.standXM - lx, boom.standZM - lz];
  return [15, -15, 30, -30, 45, -45, 60, -60, 90, -90].map((deg): Proposal => {
    const a = (deg * Math.PI) / 180;
    const [sx, sz] = [lx + dx * Math.cos(a) + dz * Math.sin(a), lz - dx * Math.sin(a) + dz * Math.cos(a)];
    const legAzimuthDeg = wrapDegrees(light.rig.legAzimuthDeg + deg);
    const turned = { boom: { ...boom, standXM: round2(sx), standZM: round2(sz) }, legAzimuthDeg };
    return {
      edits: [rigEdit(light, turned)],
      words: () => ({
        label: `boom stand ${Math.abs(deg)}° round the load`,
        leaves: "the counterweight clear of heads and way",
      }),
    };
  });
}

const round2 = (m: number): number => Math.round(m * 100) / 100;

/** How a boom is built and struck, with its figures; empty lists for a light without one. */
export function boomSteps(
  setup: Setup,
  light: Light,
): { readonly build: readonly string[]; readonly strike: readonly string[] } {
  const body = lightBody(setup, light);
  if (body.boom === null) return { build: [], strike: [] };
  const { tag, rig, support } = light;
  const [, tailY] = body.boom.tail;
  const marked = tailY > headBandM[0] && tailY < headBandM[1] ? "; mark it, it hangs at head height" : "";
  const bag = rig.sandbagKg > 0 ? `, ${kilos(rig.sandbagKg)}` : "";
  return {
    build: [
      `${tag}'s boom stand, nobody under it. Bag on the leg under the arm${bag}`,
      "Arm low and locked at the pivot",
      `Load ${tag} (${kilos(loadKg(light))} at ${metres(body.boom.reachM, 2)}) while a second person holds the arm`,
      `Counterweight ${kilos(body.boom.counterweightKg)} at ${metres(support.boomTailM, 2)}, then unlock, balance, lock${marked}`,
      `Bond ${tag} to the stand, as short as it goes; tie front and grid; raise to ${metres(body.centre[1], 2)}; cable down the arm`,
      "Push test: 50 N at 1.6 m (a firm shove with one hand), no leg lifts",
      "Only now the sitter",
    ],
    strike: [
      `Sitter away. ${tag} ${light.head.kind === "flash" ? "dumped, off, unplugged" : "off, cooled, unplugged"}`,
      "Boom low and locked, a second person holds the arm",
      `Counterweight off first, then ${tag}: the load off first lets the weight fall`,
      "Bag off last",
    ],
  };
}
