/**
 * Which lights each frame shows, by everything there is: its name, the pictures predicted for the setup or the other
 * frames, the order of shooting. Each answer carries its confidence and its reason; a person's word outranks all
 * (`corrected`).
 */

import { assignByLooking } from "./assign-looking.ts";
import { assignByPrediction, type Predicted } from "./assign-prediction.ts";
import { assignByName, assignByOrder, type NamedFrame } from "./assign-words.ts";
import { gridOf, meanLight } from "./grid.ts";
import type { Assignment, LinearFrame, NamedLight, Shows } from "./types.ts";

export interface AssignOptions {
  /** The setup's lights in the order of the ladder; none: frames are held against each other alone. */
  readonly lights?: readonly NamedLight[];
  /** Pictures predicted for that setup. */
  readonly predicted?: readonly Predicted[];
}

/** Assignments in the order of the frames. Proxies serve; a few hundred pixels are enough. */
export function assignFrames(frames: readonly LinearFrame[], options: AssignOptions = {}): readonly Assignment[] {
  const lights = options.lights ?? [];
  const named = frames.map(namedOf);
  const byName = named.map((frame) => assignByName(frame, lights));
  if (lights.length === 0) return reconciled(assignByLooking(frames), byName);
  const rest = frames.filter((_, i) => byName[i] === null);
  const open = (options.predicted ?? []).filter(({ shows }) => !byName.some((own) => own && isSame(own.shows, shows)));
  const unplaced = lights.filter(
    ({ id }) => !byName.some((own) => own?.shows.kind === "light" && own.shows.lightId === id),
  );
  const byLook = options.predicted
    ? assignByPrediction(rest, open, lights)
    : assignByOrder(rest.map(namedOf), unplaced.length > 0 ? unplaced : lights);
  const of = new Map(byLook.map((assignment) => [assignment.frameId, assignment]));
  return onceEach(frames.map((frame, i) => byName[i] ?? (of.get(frame.id) as Assignment)));
}

const namedOf = (frame: LinearFrame): NamedFrame => ({
  ...{ id: frame.id, name: frame.name, takenAt: frame.exposure.takenAt, light: meanLight(gridOf(frame)) },
});

/** Below this what looking says of a frame gives way to a name that says all or none. */
const NAME_WINS = 0.7;

/** Looking and names without a setup: numbers in names give the lights their numbers; where they differ, both are said. */
function reconciled(looked: readonly Assignment[], byName: readonly (Assignment | null)[]): readonly Assignment[] {
  const idOf = new Map<string, string>();
  looked.forEach(({ shows }, i) => {
    const own = byName[i]?.shows;
    if (shows.kind === "light" && own?.kind === "light") idOf.set(shows.lightId, own.lightId);
  });
  // Numbers must serve all lights or none, lest two of them get one.
  const lights = looked.flatMap(({ shows }) => (shows.kind === "light" ? [shows.lightId] : []));
  const serves = lights.every((id) => idOf.has(id)) && new Set(idOf.values()).size === lights.length;
  const rename = (id: string): string => (serves ? (idOf.get(id) ?? id) : id);
  const otherLights = (i: number): readonly string[] =>
    looked.flatMap(({ shows, set }, j) => {
      const isLight =
        shows.kind === "light" && j !== i && set === looked[i]?.set && byName[j]?.shows.kind !== "ambient";
      return isLight ? [rename(shows.lightId)] : [];
    });
  return looked.map((assignment, i): Assignment => {
    const own = byName[i];
    const shows = renamed(assignment.shows, rename);
    if (!own) return { ...assignment, shows };
    const why = `${assignment.why}; ${own.why}`;
    if (own.shows.kind === shows.kind) {
      return { ...assignment, shows, why, confidence: 1 - (1 - assignment.confidence) * (1 - own.confidence) };
    }
    if (own.shows.kind === "aside") return { ...own, why, confidence: 0.5 };
    if (own.shows.kind !== "light" && assignment.confidence < NAME_WINS && shows.kind !== "repeat") {
      const named: Shows = own.shows.kind === "together" ? { kind: "together", lightIds: otherLights(i) } : own.shows;
      return { ...assignment, shows: named, by: "name", why, confidence: 0.6 };
    }
    // A faint light alone looks like the room; its name knows better, where the numbers in the names serve.
    if (shows.kind === "ambient" && serves && assignment.confidence < NAME_WINS) {
      return { ...assignment, shows: own.shows, by: "name", why, confidence: 0.5 };
    }
    return { ...assignment, shows, why, confidence: 0.45 };
  });
}

function renamed(shows: Shows, rename: (id: string) => string): Shows {
  if (shows.kind === "light") return { kind: "light", lightId: rename(shows.lightId) };
  return shows.kind === "together" ? { kind: "together", lightIds: shows.lightIds.map(rename) } : shows;
}

const isSame = (a: Shows, b: Shows): boolean =>
  a.kind === b.kind && (a.kind !== "light" || (b.kind === "light" && a.lightId === b.lightId));

/** Of two frames for one light (or the room) the surer one keeps the place; the other is a frame of the session. */
function onceEach(assignments: readonly Assignment[]): readonly Assignment[] {
  return assignments.map((own, i) => {
    if (own.shows.kind !== "light" && own.shows.kind !== "ambient") return own;
    const before = assignments.some(
      (other, j) =>
        isSame(other.shows, own.shows) &&
        (other.confidence > own.confidence || (other.confidence === own.confidence && j < i)),
    );
    const why = `${own.why}, but another frame has this place`;
    return before ? { ...own, shows: { kind: "session" }, confidence: 0.4, why } : own;
  });
}
