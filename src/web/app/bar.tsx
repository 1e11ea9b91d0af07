/** The top bar: the parts of Stopwise, the open setup's name, where its edits are, Undo and Redo, the theme. */

import type { ReactNode } from "react";
import { useSession } from "../data/network.ts";
import { setPreferences } from "../data/preferences.ts";
import type { SetupSession } from "../data/setup-session.ts";
import { usePreferences, useSetupView } from "../data/use.ts";
import { KeepLine } from "../parts/keep-line.tsx";
import { BackMark, ForthMark, NameMark, PhoneMark } from "../parts/marks.tsx";
import { Link } from "./link.tsx";
import { setupPath } from "./router.ts";

type Place = "book" | "plan" | "meter" | "frames" | "sheet" | "kit" | "devices";

/** The setup last looked at: the tabs lead back to it from the Book and from Kit & room. */
let lastSetupId: string | null = null;

export function Bar({ at, session, children }: { at: Place; session?: SetupSession; children?: ReactNode }): ReactNode {
  if (session !== undefined) lastSetupId = session.id;
  const id = session?.id ?? lastSetupId;
  const tab = (place: Place, to: string, text: string): ReactNode => (
    <Link to={to} aria-current={at === place ? "page" : undefined}>
      {text}
    </Link>
  );
  return (
    <header className="bar">
      <Link to="/" className="mark" aria-label="Stopwise, to the Book">
        <NameMark />
        <span>Stopwise</span>
      </Link>
      <nav aria-label="Parts of Stopwise">
        {tab("book", "/", "Book")}
        {id !== null && tab("plan", setupPath(id, "plan"), "Plan")}
        {id !== null && tab("meter", setupPath(id, "meter"), "Meter")}
        {id !== null && tab("frames", setupPath(id, "frames"), "Frames")}
        {id !== null && tab("sheet", setupPath(id, "sheet"), "Sheet")}
        {tab("kit", "/kit", "Kit & room")}
      </nav>
      <div className="spring" />
      {session !== undefined && <SetupTitle session={session} />}
      <div className="spring" />
      {children}
      {session !== undefined && <KeepLine link={session.link} />}
      <div className="tools">
        {session !== undefined && <UndoTools session={session} />}
        <DevicesLink here={at === "devices"} />
        <ThemeSwitch />
      </div>
    </header>
  );
}

function SetupTitle({ session }: { session: SetupSession }): ReactNode {
  const view = useSetupView(session);
  return <h1 className="crumb">{view?.setup.title ?? ""}</h1>;
}

function UndoTools({ session }: { session: SetupSession }): ReactNode {
  const view = useSetupView(session);
  const undo = view?.undo ?? null;
  const redo = view?.redo ?? null;
  return (
    <>
      <button
        type="button"
        className="icon-button"
        disabled={undo === null}
        onClick={() => session.undo()}
        title={undo === null ? "Nothing to undo" : `Undo: ${undo} (Ctrl Z)`}
        aria-label={undo === null ? "Undo" : `Undo: ${undo}`}
      >
        <BackMark />
      </button>
      <button
        type="button"
        className="icon-button"
        disabled={redo === null}
        onClick={() => session.redo()}
        title={redo === null ? "Nothing to redo" : `Redo: ${redo} (Ctrl Shift Z)`}
        aria-label={redo === null ? "Redo" : `Redo: ${redo}`}
      >
        <ForthMark />
      </button>
    </>
  );
}

/** Letting phones in is the computer's business alone. */
function DevicesLink({ here }: { here: boolean }): ReactNode {
  if (useSession()?.kind !== "here") return null;
  return (
    <Link
      to="/devices"
      className="icon-button"
      aria-current={here ? "page" : undefined}
      aria-label="Let a phone in"
      title="Let a phone in"
    >
      <PhoneMark />
    </Link>
  );
}

function ThemeSwitch(): ReactNode {
  const { theme } = usePreferences();
  const other = theme === "dark" ? "light" : "dark";
  return (
    <button
      type="button"
      className="icon-button"
      onClick={() => setPreferences({ theme: other })}
      aria-label={`Show in ${other}`}
      title={`Show in ${other}`}
    >
      <svg width="18" height="18" viewBox="0 0 18 18" aria-hidden="true">
        <circle cx="9" cy="9" r="7" fill="none" stroke="currentColor" strokeWidth="1.6" />
        <path d="M9 2a7 7 0 0 1 0 14Z" fill="currentColor" />
      </svg>
    </button>
  );
}
