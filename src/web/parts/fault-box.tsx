/** Faults as people read them: what, where, mend. */

import type { ReactNode } from "react";
import type { Fault } from "../../units/index.ts";

export function FaultBox({ faults }: { faults: readonly Fault[] }): ReactNode {
  if (faults.length === 0) return null;
  return (
    <div className="fault-box" role="alert">
      {faults.slice(0, 12).map((f) => (
        <p key={`${f.code} ${f.where}`}>
          <b>{f.what}</b> <span className="quiet">({f.where})</span>. {f.mend}
        </p>
      ))}
      {faults.length > 12 && <p className="quiet">and {faults.length - 12} more</p>}
    </div>
  );
}
