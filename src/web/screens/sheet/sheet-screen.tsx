/** The Sheet: the pages as they print, A4 or Letter, and the same pages as a PDF made in this browser. */

import { type ReactNode, useEffect, useState } from "react";
import { type SheetFrame, sheetPages } from "../../../drawing/index.ts";
import { showsWord } from "../../../frames/index.ts";
import type { AsShot, Setup } from "../../../setup/index.ts";
import type { FrameCard, FrameList } from "../../../store/types.ts";
import type { Fault } from "../../../units/index.ts";
import { fault } from "../../../units/index.ts";
import { Bar } from "../../app/bar.tsx";
import { ask } from "../../data/book.ts";
import type { KeptPictures } from "../../data/kept-pictures.ts";
import type { KitSession } from "../../data/kit-session.ts";
import { newId } from "../../data/new-id.ts";
import { setPreferences } from "../../data/preferences.ts";
import type { SetupSession, SetupView } from "../../data/setup-session.ts";
import { useKit, usePreferences, useSetupView } from "../../data/use.ts";
import { DrawingView } from "../../parts/drawing-view.tsx";
import { FaultBox } from "../../parts/fault-box.tsx";
import "./sheet.css";

type Paper = "A4" | "Letter";

export default function SheetScreen({
  session,
  kit: kitSession,
}: {
  session: SetupSession;
  kit: KitSession;
}): ReactNode {
  const view = useSetupView(session);
  const kit = useKit(kitSession);
  const { lengths } = usePreferences();
  const [paper, setPaper] = useState<Paper>("A4");
  const [faults, setFaults] = useState<readonly Fault[]>([]);
  const [making, setMaking] = useState(false);
  const [wantsPictures, setWantsPictures] = useState(false);
  const pictures = usePictures(view, wantsPictures);
  const frames = useFrameNames(view?.setup ?? null);
  if (view === null) {
    return (
      <>
        <Bar at="sheet" session={session} />
        <main className="waiting">
          <FaultBox faults={session.faults()} />
        </main>
      </>
    );
  }
  const { setup, report } = view;
  const units = lengths === "feet" ? "feet" : "metres";
  const pages = sheetPages(setup, report, session.cautions(kit) ?? [], {
    ...{ paper, units, printedAt: now() },
    ...(pictures === null ? {} : { pictures }),
    ...(frames === null ? {} : { frames }),
  });
  const keepAsShot = (): void => {
    const asShot: AsShot = {
      id: newId(),
      at: new Date().toISOString(),
      note: "",
      lights: report.lights.flatMap((one) => {
        const light = setup.lights.find((l) => l.id === one.lightId);
        if (light === undefined) return [];
        return [
          {
            lightId: light.id,
            tag: light.tag,
            place: light.place,
            dialStops: light.dialStops,
            readingAv: one.readingAv,
          },
        ];
      }),
    };
    const done = session.change("kept as shot", [{ kind: "add-as-shot", asShot }]);
    setFaults(done.ok ? [] : done.faults);
  };
  const makePdf = async (): Promise<void> => {
    setMaking(true);
    try {
      const { downloadPdf } = await import("./pdf-download.ts");
      await downloadPdf(pages, setup.title);
      setFaults([]);
    } catch (cause) {
      const why = cause instanceof Error ? cause.message : String(cause);
      setFaults([
        fault("pdf-failed", "The PDF was not made", why, "Use Print and choose PDF there, or load the page again."),
      ]);
    } finally {
      setMaking(false);
    }
  };
  return (
    <div className="sheet" data-paper={paper}>
      <Bar at="sheet" session={session} />
      <section className="sheet-tools" aria-label="Paper, lengths and print">
        <div className="choice" role="group" aria-label="Paper">
          <button type="button" aria-pressed={paper === "A4"} onClick={() => setPaper("A4")}>
            A4
          </button>
          <button type="button" aria-pressed={paper === "Letter"} onClick={() => setPaper("Letter")}>
            Letter
          </button>
        </div>
        <div className="choice" role="group" aria-label="Lengths">
          <button
            type="button"
            aria-pressed={lengths === "metric"}
            onClick={() => setPreferences({ lengths: "metric" })}
          >
            Metres
          </button>
          <button type="button" aria-pressed={lengths === "feet"} onClick={() => setPreferences({ lengths: "feet" })}>
            Feet
          </button>
        </div>
        <button
          type="button"
          className="button"
          aria-pressed={wantsPictures}
          onClick={() => setWantsPictures(!wantsPictures)}
          title="Adds a page: each light alone and all together, as predicted"
        >
          {wantsPictures && pictures === null ? "Making the pictures" : "Pictures of each light"}
        </button>
        <div className="spring" />
        <button
          type="button"
          className="button"
          onClick={keepAsShot}
          title="Freezes places, dials and readings as the picture was taken"
        >
          Keep as shot{setup.asShot.length > 0 && ` (${setup.asShot.length} kept)`}
        </button>
        <button type="button" className="button" onClick={() => print()}>
          Print
        </button>
        <button type="button" className="button strong" disabled={making} onClick={() => void makePdf()}>
          {making ? "Making the PDF" : "Save as PDF"}
        </button>
      </section>
      <FaultBox faults={faults} />
      <main className="sheet-pages">
        {pages.map((page, index) => (
          <div key={page.title} className="sheet-page" data-theme="light">
            <DrawingView drawing={page} label={`Sheet of ${setup.title}, page ${index + 1} of ${pages.length}`} />
          </div>
        ))}
      </main>
    </div>
  );
}

/** Pictures of the setup as it stands, when they are wanted and as soon as they are there. */
function usePictures(view: SetupView | null, wanted: boolean): KeptPictures["pictures"] | null {
  const [made, setMade] = useState<{ readonly of: SetupView; readonly pictures: KeptPictures["pictures"] } | null>(
    null,
  );
  useEffect(() => {
    if (view === null || !wanted) return;
    let current = true;
    void import("../plan/picture/keep-pictures.ts").then(async ({ presentPictures }) => {
      const kept = await presentPictures(view.setup, view.report);
      if (current && kept !== null) setMade({ of: view, pictures: kept.pictures });
    });
    return () => {
      current = false;
    };
  }, [view, wanted]);
  return wanted && made !== null && made.of === view ? made.pictures : null;
}

/** Test frames of the setup as the server has them; null without it. */
function useFrameNames(setup: Setup | null): readonly SheetFrame[] | null {
  const id = setup?.id ?? null;
  const [cards, setCards] = useState<readonly FrameCard[] | null>(null);
  useEffect(() => {
    if (id === null) return;
    let current = true;
    void ask<FrameList>("GET", `/api/setups/${encodeURIComponent(id)}/frames`).then((answer) => {
      if (current && answer.ok) setCards(answer.value.frames);
    });
    return () => {
      current = false;
    };
  }, [id]);
  if (cards === null || setup === null) return null;
  const tagOf = (lightId: string): string => setup.lights.find(({ id }) => id === lightId)?.tag ?? "";
  return cards.map(({ name, sha256, assignment }) => ({ name, sha256, shows: showsWord(assignment?.shows, tagOf) }));
}

/** "25 November 2026, 14:22", as the Sheet prints it. */
const now = (): string =>
  new Date().toLocaleString("en-GB", {
    day: "numeric",
    month: "long",
    year: "numeric",
    hour: "2-digit",
    minute: "2-digit",
  });
