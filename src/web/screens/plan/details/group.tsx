/** A group of the details that folds; what is chosen now stands open. */

import type { ReactNode } from "react";
import type { Setup } from "../../../../setup/index.ts";
import type { SetupSession } from "../../../data/setup-session.ts";

export interface GroupProps {
  readonly session: SetupSession;
  readonly setup: Setup;
}

export function Group({
  name,
  open = false,
  children,
}: {
  name: ReactNode;
  open?: boolean;
  children: ReactNode;
}): ReactNode {
  return (
    <details className="details-group" open={open}>
      <summary>{name}</summary>
      <div className="details-fields">{children}</div>
    </details>
  );
}
