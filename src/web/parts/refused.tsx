/** When the server will not take this document (a restored book, a deleted setup): say so, and offer the edits as a copy. */

import { type ReactNode, useState } from "react";
import type { Fault } from "../../units/index.ts";
import { go, setupPath } from "../app/router.ts";
import { createSetup } from "../data/book.ts";
import { newId } from "../data/new-id.ts";
import type { SetupSession } from "../data/setup-session.ts";
import { useKeep } from "../data/use.ts";
import { FaultBox } from "./fault-box.tsx";

export function Refused({ session }: { session: SetupSession }): ReactNode {
  const keep = useKeep(session.link);
  const [faults, setFaults] = useState<readonly Fault[]>([]);
  if (keep.place !== "refused") return null;
  const setup = session.view()?.setup ?? null;
  const copy = async (): Promise<void> => {
    if (setup === null) return;
    const made = await createSetup({ ...setup, id: newId(), title: `${setup.title}, copy from this browser` });
    if (made.ok) go(setupPath(made.value.id, "plan"));
    else setFaults(made.faults);
  };
  return (
    <div className="fault-box" role="alert">
      <p>
        <b>The server does not take edits of this setup any more.</b> {keep.reason}
      </p>
      <FaultBox faults={faults} />
      {setup !== null && (
        <p>
          <button type="button" className="button strong" onClick={() => void copy()}>
            Keep what is in this browser as a copy
          </button>
        </p>
      )}
    </div>
  );
}
