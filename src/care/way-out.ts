/** The way out of a setup as it stands, for whoever draws it. */

import { lightBody, type Setup } from "../setup/index.ts";
import { wayOutPlan } from "./way-out-plan.ts";
import { findWayOut, type WayOut } from "./way-out-search.ts";
import { peopleOf } from "./world.ts";

/** The widest way from the sitter to a door; null where no door is drawn. */
export function wayOut(setup: Setup): WayOut | null {
  const lights = setup.lights.map((light) => ({ light, body: lightBody(setup, light) }));
  return findWayOut(wayOutPlan({ setup, lights, people: peopleOf(setup) }));
}
