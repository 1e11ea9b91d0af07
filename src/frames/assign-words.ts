/**
 * Which lights a frame shows, by its file's name or by the order of shooting. Names: parts between signs and at changes
 * from letters to digits are matched, whole and without regard to case, to tags, roles and ids of the lights, and to the
 * trade's words for all and none. Order: lights as they stand on the ladder, then all, then none.
 */

import type { Assignment, NamedLight, Shows } from "./types.ts";

/** What the words need of a frame. */
export interface NamedFrame {
  readonly id: string;
  readonly name: string;
  readonly takenAt: string | null;
  /** Mean light, for telling all from none; null where it is not known. */
  readonly light: number | null;
}

const TOGETHER: ReadonlySet<string> = new Set(["all", "together", "full", "sum", "everything"]);
const AMBIENT: ReadonlySet<string> = new Set(["ambient", "none", "off", "room", "nothing", "unlit"]);
const ASIDE: ReadonlySet<string> = new Set(["mask", "matte", "thumb", "preview", "normals", "depth"]);
const LAMP = /^(light|lamp|led|flash|head|l)$/;
/** A single letter or pair may be part of a counter: believed a little less. */
const SHORT = 2;

/** By name; null where the name says nothing or two things at once. Without lights, "light3" and "led_3" count. */
export function assignByName(frame: NamedFrame, lights: readonly NamedLight[]): Assignment | null {
  const parts = partsOf(frame.name);
  const answer = (shows: Shows, confidence: number, why: string): Assignment => ({
    ...{ frameId: frame.id, name: frame.name, shows, confidence, by: "name", why },
  });
  const aside = parts.find((part) => ASIDE.has(part));
  if (aside) return answer({ kind: "aside" }, 0.9, `"${aside}" in its name`);
  const found = lights.filter((light) => parts.some((part) => isNamed(light, part)));
  const all = parts.find((part) => TOGETHER.has(part));
  const none = parts.find((part) => AMBIENT.has(part));
  if ([all !== undefined, none !== undefined, found.length > 0].filter(Boolean).length > 1) return null;
  if (all) return answer({ kind: "together", lightIds: lights.map(({ id }) => id) }, 0.9, `"${all}" in its name`);
  if (none) return answer({ kind: "ambient" }, 0.9, `"${none}" in its name`);
  const [only] = found;
  if (only && found.length === 1) {
    const part = parts.find((p) => isNamed(only, p)) as string;
    return answer({ kind: "light", lightId: only.id }, part.length > SHORT ? 0.9 : 0.75, `"${part}" in its name`);
  }
  if (found.length > 1) {
    const lightIds = found.map(({ id }) => id);
    return answer({ kind: "together", lightIds }, 0.75, `${found.map(({ tag }) => tag).join(" and ")} in its name`);
  }
  return lights.length === 0 ? numbered(parts, answer) : null;
}

/** In the order of shooting: by time, else by the number in the name. One frame a light, then all, then none. */
export function assignByOrder(frames: readonly NamedFrame[], lights: readonly NamedLight[]): readonly Assignment[] {
  const sorted = [...frames].sort(byShooting);
  const spare = sorted.slice(lights.length, lights.length + 2);
  const extras = [...spare].sort((a, b) => (b.light ?? 0) - (a.light ?? 0));
  const all: Shows = { kind: "together", lightIds: lights.map(({ id }) => id) };
  const complete = sorted.length >= lights.length && sorted.length <= lights.length + 2;
  const confidence = complete ? 0.5 : 0.3;
  return sorted.map((frame, i): Assignment => {
    const light = lights[i];
    const place = extras.indexOf(frame);
    const shows: Shows = light
      ? { kind: "light", lightId: light.id }
      : place === 0
        ? all
        : place === 1
          ? { kind: "ambient" }
          : { kind: "session" };
    const why = `number ${i + 1} of ${sorted.length} in order of shooting`;
    return { frameId: frame.id, name: frame.name, shows, confidence, by: "order", why };
  });
}

/** By time where both have one, else by name with its numbers read as numbers. */
export function byShooting(a: NamedFrame, b: NamedFrame): number {
  if (a.takenAt !== null && b.takenAt !== null && a.takenAt !== b.takenAt) return a.takenAt < b.takenAt ? -1 : 1;
  return byNumbers(a.name, b.name);
}

/** Names in the order a person counts: 2 before 10. */
export function byNumbers(a: string, b: string): number {
  const [pa, pb] = [partsOf(a), partsOf(b)];
  for (let i = 0; i < Math.max(pa.length, pb.length); i++) {
    const [x, y] = [pa[i] ?? "", pb[i] ?? ""];
    if (x === y) continue;
    const [nx, ny] = [Number(x), Number(y)];
    if (x !== "" && y !== "" && Number.isFinite(nx) && Number.isFinite(ny) && nx !== ny) return nx - ny;
    return x < y ? -1 : 1;
  }
  return 0;
}

/** A person's word about one frame: it stands, and whoever had that place before is asked again. */
export function corrected(assignments: readonly Assignment[], frameId: string, shows: Shows): readonly Assignment[] {
  return assignments.map((assignment): Assignment => {
    if (assignment.frameId === frameId)
      return { ...assignment, shows, confidence: 1, by: "person", why: "you said so" };
    const clash = isSingle(shows) && isSamePlace(assignment.shows, shows);
    if (!clash) return assignment;
    return { ...assignment, shows: { kind: "aside" }, confidence: 0, why: "another frame has its place now" };
  });
}

const isSingle = (shows: Shows): boolean => shows.kind === "light" || shows.kind === "ambient";

const isSamePlace = (a: Shows, b: Shows): boolean =>
  a.kind === b.kind && (a.kind !== "light" || (b.kind === "light" && a.lightId === b.lightId));

/** Name without its ending, in lower case, cut at signs and between letters and digits. */
const partsOf = (name: string): readonly string[] =>
  name
    .replace(/\.[a-z0-9]{2,4}$/i, "")
    .replace(/([a-z])([A-Z])/g, "$1 $2")
    .toLowerCase()
    .replace(/(\D)(\d)/g, "$1 $2")
    .replace(/(\d)(\D)/g, "$1 $2")
    .split(/[^\p{L}\p{N}]+/u)
    .filter((part) => part !== "");

const isNamed = ({ id, tag, role }: NamedLight, part: string): boolean =>
  [id, tag, role].some((word) => word.toLowerCase() === part);

function numbered(
  parts: readonly string[],
  answer: (shows: Shows, confidence: number, why: string) => Assignment,
): Assignment | null {
  const at = parts.findIndex((part, i) => LAMP.test(part) && /^\d{1,3}$/.test(parts[i + 1] ?? ""));
  if (at < 0) return null;
  const number = Number(parts[at + 1]);
  return answer({ kind: "light", lightId: `light-${number}` }, 0.75, `"${parts[at]} ${number}" in its name`);
}
