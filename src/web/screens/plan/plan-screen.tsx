/**
 * Plan: the desk. The ladder with a strip per light, the room to scale from above or from the side, and the
 * cautions with their mends. Everything is edited where it stands: drag, type, or arrow keys.
 */

import { type KeyboardEvent, type ReactNode, useEffect, useState } from "react";
import type { Setup } from "../../../setup/index.ts";
import { Bar } from "../../app/bar.tsx";
import { useQuery } from "../../app/router.ts";
import type { KitSession } from "../../data/kit-session.ts";
import type { SetupSession, SetupView } from "../../data/setup-session.ts";
import { useKit, useSetupView } from "../../data/use.ts";
import { FaultBox } from "../../parts/fault-box.tsx";
import { Refused } from "../../parts/refused.tsx";
import { usePhone } from "../../parts/use-size.ts";
import { WhyPanel } from "../../parts/why/why-panel.tsx";
import { CautionStrip } from "./caution-strip.tsx";
import { LadderPane } from "./ladder-pane.tsx";
import { PhonePlan } from "./phone-plan.tsx";
import { PlanPane } from "./plan-pane.tsx";
import { SidePane } from "./side-pane.tsx";
import "./plan.css";

export default function PlanScreen({ session, kit }: { session: SetupSession; kit: KitSession }): ReactNode {
  const view = useSetupView(session);
  const kitNow = useKit(kit);
  const [why, setWhy] = useQuery("why");
  const [selected, select] = useState<string | null>(null);
  const phone = usePhone();
  useKeptPictures(view);
  if (view === null) {
    return (
      <>
        <Bar at="plan" session={session} />
        <main className="waiting">
          {session.faults().length > 0 ? <FaultBox faults={session.faults()} /> : <p className="quiet">Opening</p>}
          <Refused session={session} />
        </main>
      </>
    );
  }
  const { setup, report } = view;
  const chosen = chosenLight(setup, selected);
  const keys = (event: KeyboardEvent): void => {
    if (!(event.ctrlKey || event.metaKey) || event.key.toLowerCase() !== "z" || isTyping(event.target)) return;
    event.preventDefault();
    if (event.shiftKey) session.redo();
    else session.undo();
  };
  return (
    // biome-ignore lint/a11y/noStaticElementInteractions: Ctrl Z anywhere on the desk
    <div className="desk" onKeyDown={keys}>
      <Bar at="plan" session={session} />
      <Refused session={session} />
      {phone ? (
        <PhonePlan
          session={session}
          setup={setup}
          report={report}
          selected={chosen}
          select={select}
          openWhy={setWhy}
          kit={kitNow}
        />
      ) : (
        <main className="desk-main">
          <LadderPane
            session={session}
            setup={setup}
            report={report}
            selected={chosen}
            select={select}
            openWhy={setWhy}
            kit={kitNow}
          />
          <PlanPane session={session} setup={setup} selected={chosen} select={select} />
          <SidePane session={session} setup={setup} report={report} selected={chosen} select={select} kit={kitNow} />
        </main>
      )}
      <CautionStrip session={session} kit={kitNow} />
      {why !== null && <WhyPanel session={session} about={why} close={() => setWhy(null)} kit={kit} />}
    </div>
  );
}

/** Pictures for Book and Sheet are made when nothing was changed for so long, ms. */
const restMs = (): number => (navigator.hardwareConcurrency > 2 ? 5000 : 15_000);

/** Keeps small pictures of the setup as it stands; numbers never wait for it, and its code comes when all else rests. */
function useKeptPictures(view: SetupView | null): void {
  useEffect(() => {
    if (view === null) return;
    let makers: typeof import("./picture/keep-pictures.ts") | null = null;
    const timer = setTimeout(async () => {
      makers = await import("./picture/keep-pictures.ts");
      if (!makers.isPaneOpen()) await makers.presentPictures(view.setup, view.report);
    }, restMs());
    return () => {
      clearTimeout(timer);
      makers?.endTracing();
    };
  }, [view]);
}

const chosenLight = (setup: Setup, selected: string | null): string | null =>
  setup.lights.some((l) => l.id === selected) || setup.panels.some((p) => p.id === selected)
    ? selected
    : (setup.lights[0]?.id ?? null);

const isTyping = (target: EventTarget): boolean =>
  target instanceof HTMLInputElement || target instanceof HTMLTextAreaElement;
