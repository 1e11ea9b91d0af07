/**
 * No mend is offered that was not tried: its edits are carried out on a copy, the copy is judged by all
 * checks again, and it must remove its caution (or, where nothing removes it, make it lighter) and raise no
 * other. What moves light needs a new prediction; without one such a mend is not offered.
 */

import { applyEdits, type Edit, type Setup } from "../setup/index.ts";
import { rehangSteps } from "./boom.ts";
import { type Finding, type Proposal, weightOf } from "./finding.ts";
import type { CareReport, Mend, Recheck } from "./types.ts";
import { type Memory, type World, worldOf } from "./world.ts";

export interface Court {
  readonly world: World;
  readonly before: readonly Finding[];
  readonly judge: (world: World) => readonly Finding[];
  readonly recheck: Recheck | null;
  readonly memory: Memory;
}

/** Most mends on offer for one caution; more are no help. */
const mostMends = 3;

/** The proved mends of a finding, those that remove it before those that only lighten it. */
export function provedMends(court: Court, finding: Finding): readonly Mend[] {
  const removing: Mend[] = [];
  const lightening: Mend[] = [];
  const labels = new Set<string>();
  for (const proposal of finding.proposals()) {
    const proved = prove(court, finding, proposal);
    if (proved === null || labels.has(proved.mend.label)) continue;
    labels.add(proved.mend.label);
    (proved.removes ? removing : lightening).push(proved.mend);
    if (removing.length >= mostMends) break;
  }
  // Proposals go from the least change to the most; of those that only lighten, the most lightens most.
  return removing.length > 0 ? removing : lightening.slice(-1);
}

function prove(court: Court, finding: Finding, proposal: Proposal): { mend: Mend; removes: boolean } | null {
  // Work of hands alone changes nothing in the plan: there is nothing to try.
  if (proposal.edits.length === 0) return { mend: mendOf(proposal, undefined, proposal.steps ?? []), removes: true };
  const { world } = court;
  const light = touchesLight(proposal.edits);
  if (light && court.recheck === null && proposal.provedByReport !== true) return null;
  const changed = applyEdits(world.setup, proposal.edits);
  if (!changed.ok) return null;
  const known = light && court.recheck === null ? withoutDial(world.report, finding) : world.report;
  // The cheap checks first: most proposals fail on them, and a prediction costs more than all checks together.
  const cheap = settle(court, finding, changed.value, withoutVerdicts(known));
  if (cheap === null && light) return null;
  const report = light && court.recheck !== null ? court.recheck(changed.value) : known;
  const settled = settle(court, finding, changed.value, report);
  if (settled === null) return null;
  const steps = [...(proposal.steps ?? []), ...boomSteps(court, settled.world, proposal)];
  return { mend: mendOf(proposal, settled.own, steps), removes: weightOf(settled.own?.level ?? "done") <= 1 };
}

/** Judges the changed setup; null where the fault is as heavy as before or another one is new or heavier. */
function settle(
  court: Court,
  finding: Finding,
  setup: Setup,
  report: CareReport,
): { readonly own: Finding | undefined; readonly world: World } | null {
  const world = worldOf(setup, report, court.world.kit, court.memory);
  const after = court.judge(world);
  const own = after.find(({ id }) => id === finding.id);
  if (weightOf(own?.level ?? "done") >= weightOf(finding.level)) return null;
  const weights = new Map(court.before.map(({ id, level }) => [id, weightOf(level)]));
  const worse = after.some(({ id, level }) => weightOf(level) >= 2 && weightOf(level) > (weights.get(id) ?? 0));
  return worse ? null : { own, world };
}

const mendOf = (proposal: Proposal, after: Finding | undefined, steps: readonly string[]): Mend => ({
  ...proposal.words(after),
  edits: proposal.edits,
  steps,
});

/** A boom whose light moves is lowered, held and balanced anew, whatever the mend was for. */
function boomSteps(court: Court, after: World, proposal: Proposal): readonly string[] {
  if ((proposal.steps ?? []).some((step) => step.startsWith("Lower the arm"))) return [];
  return proposal.edits.flatMap((edit) => {
    if (edit.kind !== "light" || !("place" in edit.set || "rig" in edit.set)) return [];
    const [was, is] = [court.world, after].map(({ lights }) => lights.find(({ light }) => light.id === edit.id));
    if (!was?.body.boom || !is?.body.boom) return [];
    const moved = "place" in edit.set || JSON.stringify(was.light.rig.boom) !== JSON.stringify(is.light.rig.boom);
    return moved ? rehangSteps(after, is.light, is.body, is.body.boom.counterweightKg) : [];
  });
}

/** Fields of a light that no prediction reads. */
const dark = new Set([
  "rig",
  "circuitId",
  "modellingLampOn",
  "unit",
  "triggerGroup",
  "triggerChannel",
  "tag",
  "hue",
  "order",
]);

/** Whether any edit can change what the report says. */
export const touchesLight = (edits: readonly Edit[]): boolean =>
  edits.some((edit) => {
    if (edit.kind === "setup") return false;
    return edit.kind !== "light" || Object.keys(edit.set).some((key) => !dark.has(key));
  });

/** The report where a way out that the predictor proved was taken: that light is on target. */
const withoutDial = (report: CareReport, finding: Finding): CareReport => ({
  ...report,
  lights: report.lights.filter(({ lightId }) => lightId !== finding.about.id || finding.topic !== "dial"),
});

/** The report with nothing to blame in it: what is left are the checks that need no light. */
const withoutVerdicts = (report: CareReport): CareReport => ({
  ...report,
  lights: [],
  glare: [],
  flare: [],
  camera: { syncFault: null },
});
