/** The check of a setup: all findings, heaviest first, each with the mends that were proved here. */

import type { Kit, Setup } from "../setup/index.ts";
import { boomFindings } from "./boom.ts";
import { clearanceFindings } from "./clearance.ts";
import { reportFindings } from "./dials.ts";
import { type Finding, weightOf } from "./finding.ts";
import { flashFindings } from "./flashes.ts";
import { flickerFindings } from "./flicker.ts";
import { cableFindings } from "./general.ts";
import { heatFindings } from "./heat.ts";
import { inventoryFindings } from "./inventory.ts";
import { mainsFindings } from "./mains.ts";
import { overheadFindings } from "./overhead.ts";
import { passageFindings } from "./passage.ts";
import { provedMends } from "./prove.ts";
import { standFindings } from "./stands.ts";
import type { CareReport, Caution, Recheck } from "./types.ts";
import { newMemory, type World, worldOf } from "./world.ts";

/** Among cautions of one level: what can hurt somebody first. */
const checks: readonly ((world: World) => readonly Finding[])[] = [
  overheadFindings,
  standFindings,
  boomFindings,
  passageFindings,
  mainsFindings,
  heatFindings,
  clearanceFindings,
  flashFindings,
  reportFindings,
  flickerFindings,
  inventoryFindings,
  cableFindings,
];

const judge = (world: World): readonly Finding[] => checks.flatMap((check) => check(world));

/**
 * Every caution of a setup, heaviest first. `kit` null: nothing is asked of a kit, bags come in fives.
 * `recheck` predicts a changed setup (a solver's report): with it mends may move light, and are offered only
 * when the new prediction raises nothing; without it only mends are offered that need no new prediction.
 * Never throws for a setup that parsed.
 */
export function checkSetup(setup: Setup, report: CareReport, kit: Kit | null, recheck?: Recheck): readonly Caution[] {
  const memory = newMemory();
  const world = worldOf(setup, report, kit, memory);
  const before = judge(world);
  const court = { world, before, judge, recheck: recheck ?? null, memory };
  return before
    .map(({ proposals, ...finding }): Caution => {
      const heavy = weightOf(finding.level) >= 1;
      return { ...finding, mends: heavy ? provedMends(court, { ...finding, proposals }) : [] };
    })
    .sort((a, b) => weightOf(b.level) - weightOf(a.level));
}
