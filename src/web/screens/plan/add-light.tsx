/** Adds a light of a role, with a head, modifier and stand that the kit still has; removes the chosen one elsewhere. */

import { type ReactNode, useState } from "react";
import { type Kit, newLight, type Role, type Setup } from "../../../setup/index.ts";
import { orderAfter } from "../../../sync/index.ts";
import type { Fault } from "../../../units/index.ts";
import { newId } from "../../data/new-id.ts";
import type { SetupSession } from "../../data/setup-session.ts";
import { FaultBox } from "../../parts/fault-box.tsx";

const ROLES: readonly Role[] = ["main", "fill", "edge", "hair", "background"];

export function AddLight({ session, setup, kit }: { session: SetupSession; setup: Setup; kit: Kit | null }): ReactNode {
  const [faults, setFaults] = useState<readonly Fault[]>([]);
  const add = (role: Role): void => {
    if (kit === null) return;
    const made = newLight(setup, kit, { id: newId(), order: orderAfter(setup.lights), role });
    const done = made.ok ? session.change(`add ${role}`, [{ kind: "add-light", light: made.value }]) : made;
    setFaults(done.ok ? [] : done.faults);
  };
  return (
    <>
      <label className="add-light">
        <span className="unseen">Add a light</span>
        <select value="" disabled={kit === null} onChange={(event) => add(event.target.value as Role)}>
          <option value="">Add a light</option>
          {ROLES.map((role) => (
            <option key={role} value={role}>
              {role}
            </option>
          ))}
        </select>
      </label>
      <FaultBox faults={faults} />
    </>
  );
}
