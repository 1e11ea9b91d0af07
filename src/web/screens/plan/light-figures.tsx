/** The chosen light's figures one below the other, for a phone: the rows of the desk's strip. */

import type { ReactNode } from "react";
import type { Setup } from "../../../setup/index.ts";
import type { SetupReport } from "../../../solve/index.ts";
import type { SetupSession } from "../../data/setup-session.ts";
import { Reading } from "../../parts/reading.tsx";
import { AngleCell, DialCell, DistanceCell, HeightCell, TargetCell } from "./light-cells.tsx";

interface Props {
  readonly session: SetupSession;
  readonly setup: Setup;
  readonly report: SetupReport;
  readonly selected: string | null;
  readonly openWhy: (about: string) => void;
}

export function LightFigures({ session, setup, report, selected, openWhy }: Props): ReactNode {
  const light = setup.lights.find((l) => l.id === selected);
  const one = report.lights.find((l) => l.lightId === selected);
  if (light === undefined || one === undefined) return null;
  const edit = { session, setup, light };
  const row = (name: string, value: ReactNode): ReactNode => (
    <div className="figure-row">
      <span>{name}</span>
      <div className="strip-cell" data-selected="true">
        {value}
      </div>
    </div>
  );
  return (
    <section className="pane figure-rows" aria-label={`Figures of ${light.tag}`}>
      {row("distance", <DistanceCell {...edit} />)}
      {row("height", <HeightCell {...edit} />)}
      {row("angle", <AngleCell {...edit} />)}
      {row("dial", <DialCell {...edit} />)}
      {row("target", <TargetCell {...edit} report={one} />)}
      {row(
        "predicted",
        <button type="button" className="why-link" onClick={() => openWhy(`light:${light.id}`)}>
          <Reading av={one.predicted.av} />
        </button>,
      )}
      {row("metered", <Reading av={one.readingAv} />)}
    </section>
  );
}
