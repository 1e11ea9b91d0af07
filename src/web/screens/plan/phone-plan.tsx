/** Plan on a phone: the ladder whole, a row per light with its turn, and what to meter next; plan and details a tap away. */

import { lazy, type ReactNode, Suspense, useLayoutEffect, useState } from "react";
import { ladder } from "../../../drawing/index.ts";
import type { Kit, Setup } from "../../../setup/index.ts";
import type { LightReport, SetupReport } from "../../../solve/index.ts";
import { Link } from "../../app/link.tsx";
import { setupPath } from "../../app/router.ts";
import type { SetupSession } from "../../data/setup-session.ts";
import { DrawingView } from "../../parts/drawing-view.tsx";
import { Reading } from "../../parts/reading.tsx";
import { Tag } from "../../parts/tag.tsx";
import { useSize } from "../../parts/use-size.ts";
import { AddLight } from "./add-light.tsx";
import { ExposureEntry } from "./exposure-entry.tsx";
import { LightFigures } from "./light-figures.tsx";
import { PlanPane } from "./plan-pane.tsx";
import { RatioRows } from "./ratio-rows.tsx";
import { SetupDetails } from "./setup-details.tsx";

interface Props {
  readonly session: SetupSession;
  readonly setup: Setup;
  readonly report: SetupReport;
  readonly selected: string | null;
  readonly select: (id: string) => void;
  readonly openWhy: (about: string) => void;
  readonly kit: Kit | null;
}

const PicturePane = lazy(() => import("./picture/picture-pane.tsx"));

type Part = "ladder" | "plan" | "picture" | "details";

export function PhonePlan(props: Props): ReactNode {
  const [part, setPart] = useState<Part>("ladder");
  // Each part begins at its top, however far down the last one was read.
  // biome-ignore lint/correctness/useExhaustiveDependencies: runs when another part is shown
  useLayoutEffect(() => {
    scrollTo(0, 0);
  }, [part]);
  const tab = (name: Part, words: string): ReactNode => (
    <button type="button" aria-pressed={part === name} onClick={() => setPart(name)}>
      {words}
    </button>
  );
  return (
    <main className="phone-plan">
      <div className="phone-tabs" role="group" aria-label="Part of the plan">
        {tab("ladder", "Ladder")}
        {tab("plan", "Room")}
        {tab("picture", "Picture")}
        {tab("details", "Details")}
      </div>
      {part === "ladder" && <PhoneLadder {...props} showDetails={() => setPart("details")} />}
      {part === "plan" && <PlanPane {...props} />}
      {part === "picture" && (
        <Suspense fallback={<p className="quiet">The picture is on its way</p>}>
          <PicturePane setup={props.setup} report={props.report} />
        </Suspense>
      )}
      {part === "details" && (
        <>
          <LightFigures {...props} />
          <SetupDetails {...props} />
        </>
      )}
    </main>
  );
}

function PhoneLadder(props: Props & { showDetails: () => void }): ReactNode {
  const { session, setup, report, selected, select, showDetails, openWhy, kit } = props;
  const [box, size] = useSize<HTMLDivElement>();
  const next = report.lights.find((l) => l.turn === null || l.turn.state === "turn");
  const nextLight = setup.lights.find((l) => l.id === next?.lightId);
  return (
    <section className="pane" aria-label="Ladder">
      <div className="pane-head phone-exposure">
        <ExposureEntry session={session} setup={setup} />
      </div>
      <div ref={box} className="phone-ladder">
        {size !== null && (
          <DrawingView
            fit="unit"
            drawing={ladder(setup, report, { style: "phone", width: size.width, height: 340, selected })}
          />
        )}
      </div>
      <ul className="phone-rows">
        {report.lights.map((one) => {
          const light = setup.lights.find((l) => l.id === one.lightId);
          if (light === undefined) return null;
          return (
            <li key={light.id}>
              <button
                type="button"
                aria-pressed={light.id === selected}
                onClick={() => {
                  select(light.id);
                  showDetails();
                }}
              >
                <Tag tag={light.tag} hue={light.hue} solid={one.reading !== null} size="large" />
                <span>{light.role}</span>
                <Reading av={one.readingAv ?? one.predicted.av} />
                <TurnWords report={one} />
              </button>
            </li>
          );
        })}
      </ul>
      <div className="phone-next">
        <Link to={setupPath(session.id, "meter")} className="button">
          {nextLight === undefined
            ? "Meter all together"
            : `Meter ${nextLight.tag} next${nextLight.triggerGroup === "" ? "" : `, fire ${nextLight.triggerGroup}`}`}
        </Link>
      </div>
      <RatioRows setup={setup} report={report} openWhy={openWhy} />
      <div className="phone-next">
        <AddLight session={session} setup={setup} kit={kit} />
      </div>
    </section>
  );
}

function TurnWords({ report }: { report: LightReport }): ReactNode {
  const turn = report.turn ?? report.plan;
  const dial = turn.dialTo !== turn.dialFrom ? `dial ${turn.dialFrom} → ${turn.dialTo}` : `dial ${turn.dialFrom}`;
  return (
    <span className="phone-turn">
      <b>{report.turn === null && turn.state !== "over" && turn.state !== "short" ? "not metered" : turn.words}</b>
      <small>{report.waysOut.find((w) => w.fits)?.label ?? dial}</small>
    </span>
  );
}
