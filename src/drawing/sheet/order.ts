/**
 * The order of building and of striking. Room and backdrop, camera and cross, main, fill, edge, background, then the
 * boom with nobody under it, only then the sitter, together readings, the main again (the
 * boom's order is common practice, no source). Strike in reverse: the counterweight comes off before the load.
 * Local code and competent persons outrank this list.
 */

import { boomSteps } from "../../care/index.ts";
import type { Light, Role, Setup } from "../../setup/index.ts";
import type { LightReport, SetupReport } from "../../solve/index.ts";
import type { TextRun } from "../types.ts";
import { begun, lengthText, phrase, readingRuns, runsOf } from "../words.ts";
import type { CheckItem } from "./block.ts";
import { listed } from "./notes.ts";
import type { SheetOptions } from "./paper.ts";

const roleOrder: readonly Role[] = ["main", "fill", "card", "edge", "background", "hair"];

const inOrder = (setup: Setup): readonly Light[] =>
  [...setup.lights].sort((a, b) => roleOrder.indexOf(a.role) - roleOrder.indexOf(b.role));

const isBoom = (light: Light): boolean => light.support.kind === "boom" && light.rig.boom !== null;

export function buildOrder(setup: Setup, report: SetupReport, options: SheetOptions): readonly CheckItem[] {
  const lights = inOrder(setup);
  const sits = who(setup);
  const steps: (string | readonly TextRun[])[] = [];
  const seat = setup.subject.kind === "person" && setup.subject.pose === "seated" ? ", stool on the cross" : "";
  const backdrop = setup.backdrop === null ? "" : `${setup.backdrop.name}, `;
  steps.push(begun(`${backdrop}tape cross, camera mark${seat}. Keep the way out clear`));
  const windows = setup.room.openings.filter((o) => o.kind === "window" && o.covered);
  if (windows.length > 0) steps.push("Blinds down. Read the room light alone and write it down");
  if (setup.panels.length > 0) steps.push(panelStep(setup, options));
  for (const light of lights.filter((l) => !isBoom(l))) steps.push(lightStep(light, toldOf(report, light)));
  for (const light of lights.filter(isBoom)) steps.push(...boomOrder(setup, light, toldOf(report, light)));
  if (!lights.some(isBoom)) steps.push(`Stands bagged, cables along the walls and taped. Only now the ${sits}`);
  steps.push(
    "Together, as the table says. From the lens look for flare and for lights in the picture",
    `${lights[0]?.tag ?? "Main"} again, last: if it moved 0.1, repeat`,
    "One frame per light, one of all, one of none",
  );
  return steps.map((words) => ({ words: typeof words === "string" ? runsOf(words) : words }));
}

const who = ({ subject }: Setup): string => (subject.kind === "person" ? "sitter" : "object");

const toldOf = (report: SetupReport, light: Light): LightReport | null =>
  report.lights.find((r) => r.lightId === light.id) ?? null;

function panelStep(setup: Setup, options: SheetOptions): string {
  const places = setup.panels.map((panel) => {
    const { place } = panel;
    const x = place.kind === "cartesian" ? place.xM : place.distanceM * Math.sin((place.azimuthDeg * Math.PI) / 180);
    return `${panel.name}${panel.tag === "" ? "" : ` ${panel.tag}`} at ${lengthText(Math.abs(x), options.units)} camera ${x < 0 ? "left" : "right"}`;
  });
  return `Panels, feet weighted: ${places.join(", ")}`;
}

/** "M on its marks, alone, fire 1: f/5.6⁰ at −3.7". */
function lightStep(light: Light, told: LightReport | null): readonly TextRun[] {
  const fire = light.triggerGroup === "" ? "" : `, fire ${light.triggerGroup}`;
  const hung = light.support.kind === "ceiling" ? " hung and bonded" : " on its marks";
  return phrase(`${light.tag}${hung}, alone${fire}: `, ...goal(told));
}

function goal(told: LightReport | null): readonly (string | readonly TextRun[])[] {
  if (told === null) return ["meter it"];
  const turn = told.turn ?? told.plan;
  const closest = turn.state === "as-close" ? ", as close as this head goes" : "";
  const ends = turn.state === "over" || turn.state === "short" ? ` (${turn.words}: see the plan)` : "";
  return [readingRuns(told.targetAv, { strong: true }), ` at ${turn.dialTo}${closest}${ends}`];
}

/** The boom's own steps with their figures; the last, "only now the sitter", goes on to the reading. */
function boomOrder(setup: Setup, light: Light, told: LightReport | null): readonly (string | readonly TextRun[])[] {
  const { build } = boomSteps(setup, light);
  const last = phrase(`Only now the ${who(setup)}. ${light.tag} alone, fire ${light.triggerGroup}: `, ...goal(told));
  return [...build.slice(0, -1), last];
}

export const kilos = (kg: number): string => `${Number(kg.toFixed(1))} kg`;

export function strikeOrder(setup: Setup): readonly CheckItem[] {
  const booms = setup.lights.filter(isBoom);
  const others = inOrder(setup).filter((l) => !isBoom(l));
  const steps = [`${begun(who(setup))} away. Heads dumped, off, unplugged; let them cool`];
  for (const light of booms) {
    steps.push(...boomSteps(setup, light).strike.slice(1));
  }
  if (others.length > 0) steps.push(listed(others.map((l) => l.tag).reverse()));
  steps.push("Photograph the marks, then panels, backdrop, tape");
  return steps.map((words) => ({ words: runsOf(words) }));
}
