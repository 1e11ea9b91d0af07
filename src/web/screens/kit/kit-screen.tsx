/** Kit & room: what one owns, each head by its own dial, modifiers by their fronts, and the rooms one works in. */

import { type ReactNode, useState } from "react";
import type { Kit } from "../../../setup/index.ts";
import { Bar } from "../../app/bar.tsx";
import type { KitSession } from "../../data/kit-session.ts";
import { setPreferences } from "../../data/preferences.ts";
import { useKit, usePreferences } from "../../data/use.ts";
import { FaultBox } from "../../parts/fault-box.tsx";
import { KeepLine } from "../../parts/keep-line.tsx";
import { HeadTable } from "./head-table.tsx";
import { ModifierTable } from "./modifier-table.tsx";
import { CameraTable, MeterTable, PanelTable, SupportTable } from "./other-tables.tsx";
import { RoomPane } from "./room-pane.tsx";
import "./kit.css";

export default function KitScreen({ kit: session }: { kit: KitSession }): ReactNode {
  const kit = useKit(session);
  const { lengths } = usePreferences();
  const [only, setOnly] = useState<"kit" | "room">("kit");
  if (kit === null) {
    return (
      <>
        <Bar at="kit" />
        <main className="waiting">
          {session.faults().length > 0 ? (
            <FaultBox faults={session.faults()} />
          ) : (
            <p className="quiet">Opening the kit</p>
          )}
        </main>
      </>
    );
  }
  const change = (edit: (kit: Kit) => Kit): void => session.change(edit);
  return (
    <>
      <Bar at="kit">
        <KeepLine link={session.link} />
      </Bar>
      <main className="kit" data-only={only}>
        <div className="kit-narrow choice" role="group" aria-label="Kit or room">
          <button type="button" aria-pressed={only === "kit"} onClick={() => setOnly("kit")}>
            Kit
          </button>
          <button type="button" aria-pressed={only === "room"} onClick={() => setOnly("room")}>
            Room
          </button>
        </div>
        <div className="pane kit-items">
          <header className="pane-head">
            <h1>Kit</h1>
            <span className="quiet">a setup keeps its own copies; changes here touch no old setup</span>
            <div className="spring" />
            <div className="choice" role="group" aria-label="Lengths">
              <button
                type="button"
                aria-pressed={lengths === "metric"}
                onClick={() => setPreferences({ lengths: "metric" })}
              >
                Metres
              </button>
              <button
                type="button"
                aria-pressed={lengths === "feet"}
                onClick={() => setPreferences({ lengths: "feet" })}
              >
                Feet
              </button>
            </div>
          </header>
          <HeadTable kit={kit} change={change} />
          <ModifierTable kit={kit} change={change} />
          <SupportTable kit={kit} change={change} />
          <PanelTable kit={kit} change={change} />
          <MeterTable kit={kit} change={change} />
          <CameraTable kit={kit} change={change} />
        </div>
        <RoomPane kit={kit} change={change} />
      </main>
    </>
  );
}
