/** The row of steps: a bead for each light, solid once metered, ticked once met; then all together. */

import type { ReactNode } from "react";
import type { Setup } from "../../../setup/index.ts";
import type { SetupReport } from "../../../solve/index.ts";
import { Tick } from "../../parts/marks.tsx";
import { Tag } from "../../parts/tag.tsx";
import { isDone, type Step } from "./meter-logic.ts";

interface Props {
  readonly setup: Setup;
  readonly report: SetupReport;
  readonly current: string;
  readonly show: (step: Step) => void;
}

export function Steps({ setup, report, current, show }: Props): ReactNode {
  return (
    <nav className="steps" aria-label="Lights, one at a time">
      {report.lights.map((one) => {
        const light = setup.lights.find((l) => l.id === one.lightId);
        if (light === undefined) return null;
        const done = isDone(light, one);
        const now = current === light.id;
        return (
          <button
            key={light.id}
            type="button"
            className="step"
            aria-current={now ? "step" : undefined}
            onClick={() => show({ kind: "light", lightId: light.id })}
          >
            <Tag
              tag={light.tag}
              hue={light.hue}
              solid={one.reading !== null}
              jaws={now}
              size={now ? "large" : "middle"}
            />
            <span>
              {done && <Tick size={12} />}
              {light.role}
              <span className="unseen">
                , {done ? "met" : one.reading === null ? "not metered" : (one.turn?.words ?? "metered")}
              </span>
            </span>
          </button>
        );
      })}
      <button
        type="button"
        className="step"
        aria-current={current === "together" ? "step" : undefined}
        onClick={() => show({ kind: "together" })}
      >
        <svg width="62" height="40" viewBox="0 0 62 40" aria-hidden="true">
          <path d="M14 13H48M14 20H48M14 27H48" stroke="var(--edge)" />
          <path d="M14 13H48" stroke="var(--ink)" strokeWidth="3.4" />
        </svg>
        <span>together</span>
      </button>
    </nav>
  );
}
