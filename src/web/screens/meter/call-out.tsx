/**
 * The turn across the whole screen, for the person at the head: read at four metres, spoken once. It follows
 * the newest reading in the setup, so a second screen that shows it needs no touch.
 */

import { type ReactNode, useEffect, useRef } from "react";
import type { Setup } from "../../../setup/index.ts";
import type { LightReport, SetupReport } from "../../../solve/index.ts";
import { setPreferences } from "../../data/preferences.ts";
import { usePreferences } from "../../data/use.ts";
import { Tag } from "../../parts/tag.tsx";
import { speak } from "./speak.ts";

interface Props {
  readonly setup: Setup;
  readonly report: SetupReport;
  readonly close: () => void;
}

export function CallOut({ setup, report, close }: Props): ReactNode {
  const dialog = useRef<HTMLDialogElement>(null);
  const { speak: aloud } = usePreferences();
  const newest = newestRead(report);
  const light = setup.lights.find((l) => l.id === newest?.lightId);
  const words = newest?.turn?.words ?? "";
  useEffect(() => dialog.current?.showModal(), []);
  useEffect(() => {
    if (aloud && light !== undefined) speak(`${light.role}, ${words}`);
  }, [aloud, light, words]);
  return (
    <dialog ref={dialog} className="call-out" onClose={close} aria-label="The turn, called out">
      {newest === null || light === undefined ? (
        <p>No reading yet</p>
      ) : (
        <div className="call-words" role="status">
          <Tag tag={light.tag} hue={light.hue} solid size="huge" />
          <p className="call-verb">{newest.turn?.state === "turn" ? (newest.turn.stops > 0 ? "up" : "down") : words}</p>
          {newest.turn?.state === "turn" && <p className="call-number">{Math.abs(newest.turn.stops).toFixed(1)}</p>}
          {newest.turn?.state === "turn" && (
            <p className="call-dial">
              dial {newest.turn.dialFrom} → {newest.turn.dialTo}
              {newest.turn.dumpPop && ", one dump pop"}
            </p>
          )}
        </div>
      )}
      <div className="call-foot">
        <button type="button" className="button" aria-pressed={aloud} onClick={() => setPreferences({ speak: !aloud })}>
          {aloud ? "Spoken aloud" : "Say it aloud"}
        </button>
        <button type="button" className="button" onClick={() => dialog.current?.close()}>
          Close
        </button>
      </div>
    </dialog>
  );
}

function newestRead(report: SetupReport): LightReport | null {
  let newest: LightReport | null = null;
  for (const one of report.lights) {
    if (one.reading === null) continue;
    if (newest === null || (newest.reading !== null && one.reading.at > newest.reading.at)) newest = one;
  }
  return newest;
}
