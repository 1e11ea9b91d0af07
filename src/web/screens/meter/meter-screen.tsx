/**
 * Meter: one thumb, two taps a reading. Says which light, which group to fire, where the receptor goes and
 * where it points; answers with the turn; moves on by itself when met; one Undo.
 */

import { lazy, type ReactNode, Suspense, useEffect, useRef, useState } from "react";
import type { Setup } from "../../../setup/index.ts";
import type { SetupReport } from "../../../solve/index.ts";
import { Link } from "../../app/link.tsx";
import { setupPath, useQuery } from "../../app/router.ts";
import { preferences } from "../../data/preferences.ts";
import type { SetupSession } from "../../data/setup-session.ts";
import { useSetupView } from "../../data/use.ts";
import { FaultBox } from "../../parts/fault-box.tsx";
import { KeepLine } from "../../parts/keep-line.tsx";
import { Refused } from "../../parts/refused.tsx";
import { CallOut } from "./call-out.tsx";
import { LightStep } from "./light-step.tsx";
import { isDone, nextStep, type Step, stepKey } from "./meter-logic.ts";
import { speak } from "./speak.ts";
import { Steps } from "./steps.tsx";
import { TogetherStep } from "./together-step.tsx";
import { TogetherStrip } from "./together-strip.tsx";
import { useAwake } from "./wake.ts";
import "./meter.css";

const WhyPanel = lazy(async () => ({ default: (await import("../../parts/why/why-panel.tsx")).WhyPanel }));

/** How long "met" stays before the next light is shown. */
const MOVE_ON_MS = 1100;

export default function MeterScreen({ session }: { session: SetupSession }): ReactNode {
  const view = useSetupView(session);
  if (view === null) return <Opening session={session} />;
  return <Metering session={session} setup={view.setup} report={view.report} undo={view.undo} />;
}

interface Props {
  readonly session: SetupSession;
  readonly setup: Setup;
  readonly report: SetupReport;
  readonly undo: string | null;
}

function Metering({ session, setup, report, undo }: Props): ReactNode {
  useAwake();
  const [at, setAt] = useQuery("at");
  const [calling, setCalling] = useQuery("call");
  const [why, setWhy] = useQuery("why");
  const [movedFrom, setMovedFrom] = useState<string | null>(null);
  const step = stepAt(setup, at) ?? nextStep(setup, report);
  const key = stepKey(step);
  const timer = useRef<ReturnType<typeof setTimeout>>(undefined);
  useEffect(() => () => clearTimeout(timer.current), []);

  const show = (next: Step): void => {
    clearTimeout(timer.current);
    setMovedFrom(null);
    setAt(stepKey(next));
  };
  /** After a reading: say the turn; when the light is met, go on to the next by itself. */
  const afterReading = (lightId: string): void => {
    setAt(lightId);
    const now = session.view();
    const read = now?.report.lights.find((l) => l.lightId === lightId);
    const light = now?.setup.lights.find((l) => l.id === lightId);
    if (now === null || read === undefined || light === undefined) return;
    if (preferences().speak) speak(`${light.role}, ${read.turn?.words ?? ""}`);
    clearTimeout(timer.current);
    if (!isDone(light, read)) return;
    timer.current = setTimeout(() => {
      const latest = session.view();
      if (latest === null) return;
      const next = nextStep(latest.setup, latest.report);
      setMovedFrom(lightId);
      setAt(stepKey(next));
    }, MOVE_ON_MS);
  };
  const undoLast = (): void => {
    clearTimeout(timer.current);
    session.undo();
    if (movedFrom !== null) setAt(movedFrom);
    setMovedFrom(null);
  };

  const light = step.kind === "light" ? setup.lights.find((l) => l.id === step.lightId) : undefined;
  const lightReport = step.kind === "light" ? report.lights.find((l) => l.lightId === step.lightId) : undefined;
  return (
    <div className="meter">
      <header className="meter-head">
        <Link to={setupPath(session.id, "plan")} className="icon-button" aria-label="Back to Plan">
          <svg
            width="28"
            height="28"
            viewBox="0 0 28 28"
            fill="none"
            stroke="currentColor"
            strokeWidth="2.2"
            aria-hidden="true"
          >
            <path d="M17 6L9 14l8 8" />
          </svg>
        </Link>
        <h1>{setup.title}</h1>
        <div className="spring" />
        <KeepLine link={session.link} />
      </header>
      <Refused session={session} />
      <Steps setup={setup} report={report} current={key} show={show} />
      <TogetherStrip session={session} setup={setup} lightId={light?.id ?? null} />
      {light !== undefined && lightReport !== undefined ? (
        <LightStep
          key={light.id}
          session={session}
          setup={setup}
          report={report}
          light={light}
          lightReport={lightReport}
          cameFrom={movedFrom === null ? null : (setup.lights.find((l) => l.id === movedFrom) ?? null)}
          undo={undo}
          onUndo={undoLast}
          onReading={() => afterReading(light.id)}
          onCall={() => setCalling("1")}
          onWhy={() => setWhy(`light:${light.id}`)}
        />
      ) : (
        <TogetherStep session={session} setup={setup} report={report} undo={undo} onUndo={undoLast} onWhy={setWhy} />
      )}
      {calling !== null && <CallOut setup={setup} report={report} close={() => setCalling(null)} />}
      {why !== null && (
        <Suspense>
          <WhyPanel session={session} about={why} close={() => setWhy(null)} />
        </Suspense>
      )}
    </div>
  );
}

function Opening({ session }: { session: SetupSession }): ReactNode {
  const faults = session.faults();
  return (
    <main className="waiting">
      {faults.length > 0 ? <FaultBox faults={faults} /> : <p className="quiet">Opening</p>}
    </main>
  );
}

function stepAt(setup: Setup, at: string | null): Step | null {
  if (at === "together") return { kind: "together" };
  if (at !== null && setup.lights.some((l) => l.id === at)) return { kind: "light", lightId: at };
  return null;
}
