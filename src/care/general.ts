/** What is said whatever stands there: leads on the floor, and the sheet's lines of standing care. */

import type { Setup } from "../setup/index.ts";
import { aboutRoom, deferral, type Finding, finding, joined, practice } from "./finding.ts";
import type { World } from "./world.ts";

/** cables:room while anything hangs on mains. */
export function cableFindings(world: World): readonly Finding[] {
  const tags = world.setup.lights.filter(({ head }) => head.mains).map(({ tag }) => tag);
  if (tags.length === 0) return [];
  return [
    finding({
      id: "cables:room",
      level: "note",
      topic: "cables",
      about: aboutRoom,
      what: `Mains leads to ${joined(tags)}: taped or ramped, out of the walkway, away from the legs, a loop at each foot`,
      why: "A foot in a lead brings the stand down with it.",
      defer: deferral,
      source: practice,
    }),
  ];
}

/** Lines for the Sheet that hold for this setup, the deferral last. */
export function generalCautions(setup: Setup): readonly string[] {
  const { lights, subject, sitters } = setup;
  const any = (test: (light: Setup["lights"][number]) => boolean): boolean => lights.some(test);
  const lines: string[] = [];
  const say = (when: boolean, line: string): void => {
    if (when) lines.push(line);
  };
  const person = subject.kind === "person";
  say(
    any(({ support }) => support.kind !== "ceiling"),
    "Spread every stand's legs fully, one leg under the load, bags low; push test before anybody sits.",
  );
  say(
    any(({ support }) => support.kind !== "stand"),
    "Nothing overhead without a bond; tie fronts and grids; nobody under it while hands are on it.",
  );
  say(
    any(({ support }) => support.kind === "boom"),
    "Never re-hang a boom in one go: lower, hold, rebalance. Counterweight off before the load.",
  );
  say(true, "Keep the way to the door 1.0 m wide and half a metre clear of detectors and sprinklers.");
  say(
    any(({ head }) => head.mains),
    "Leads taped or ramped, reels unwound, residual-current protection; at most 80 % of a circuit for what burns on.",
  );
  say(
    any(({ modellingLampOn, head }) => modellingLampOn || head.kind === "continuous"),
    "Keep cloth and gels off hot lamps; let them cool before hands touch them.",
  );
  say(
    any(({ head }) => head.kind === "flash"),
    "Flash heads: dump, switch off, unplug, wait as the maker says; never open one.",
  );
  const asks = person && any(({ head }) => head.kind === "flash");
  say(asks, "Ask everybody about flashing light before the first pop; never more than three flashes in a second.");
  say(
    subject.flashSensitive || sitters.some(({ flashSensitive }) => flashSensitive),
    "Somebody on this list is sensitive to flashing light: ask again, and meter without them in the seat.",
  );
  say(
    any(({ head }) => head.kind === "continuous"),
    "Do not look into bare lamps.",
  );
  return [...lines, deferral];
}
