/** All lights on: the very readings that were predicted, one after the other, and what they say together. */

import { type ReactNode, useEffect, useRef, useState } from "react";
import { ladder } from "../../../drawing/index.ts";
import { pointOf, type Setup } from "../../../setup/index.ts";
import type { RatioReport, SetupReport, TogetherReport } from "../../../solve/index.ts";
import type { Fault } from "../../../units/index.ts";
import { newId } from "../../data/new-id.ts";
import { preferences } from "../../data/preferences.ts";
import type { SetupSession } from "../../data/setup-session.ts";
import { DrawingView } from "../../parts/drawing-view.tsx";
import { FaultBox } from "../../parts/fault-box.tsx";
import { Reading } from "../../parts/reading.tsx";
import { Keypad } from "./keypad.tsx";
import { listWords, togetherEdits } from "./meter-logic.ts";

interface Props {
  readonly session: SetupSession;
  readonly setup: Setup;
  readonly report: SetupReport;
  readonly undo: string | null;
  readonly onUndo: () => void;
  readonly onWhy: (about: string) => void;
}

export function TogetherStep({ session, setup, report, undo, onUndo, onWhy }: Props): ReactNode {
  const [chosen, choose] = useState<string | null>(null);
  const [faults, setFaults] = useState<readonly Fault[]>([]);
  const asked = askedTogether(setup, report);
  const current = asked.find((t) => t.id === chosen) ?? asked.find((t) => t.reading === null) ?? asked[0];
  const enter = (av: number, typed: string): void => {
    if (current === undefined) return;
    const edits = togetherEdits(setup, current, {
      id: newId(),
      at: new Date().toISOString(),
      device: preferences().device,
      av,
      typed,
      iso: setup.exposure.iso,
    });
    const done = session.change(`${current.name} read ${typed}`, edits);
    setFaults(done.ok ? [] : done.faults);
    choose(null);
  };
  return (
    <>
      <main className="meter-main together">
        <div className="meter-rail">
          <DrawingView drawing={ladder(setup, report, { style: "slim", width: 148, height: 400 })} />
        </div>
        <div className="together-rows">
          {asked.map((one) => (
            <TogetherRow
              key={one.id}
              one={one}
              now={one.id === current?.id}
              choose={() => choose(one.id)}
              why={() => onWhy(`together:${one.id}`)}
              setup={setup}
            />
          ))}
          {report.ratios.map((ratio) => (
            <RatioRow key={ratio.name} ratio={ratio} />
          ))}
        </div>
      </main>
      <section className="meter-keys" aria-label="The meter says">
        <FaultBox faults={faults} />
        <div className="key-words">
          <b>{current === undefined ? "" : holdWords(setup, current)}</b>
        </div>
        <Keypad last={null} enter={enter} />
        <div className="meter-foot">
          <button type="button" className="button" disabled={undo === null} onClick={onUndo}>
            Undo
          </button>
          <button type="button" className="button" onClick={() => choose(after(asked, current)?.id ?? null)}>
            Skip this one
          </button>
        </div>
      </section>
    </>
  );
}

interface RowProps {
  readonly one: Asked;
  readonly now: boolean;
  readonly setup: Setup;
  readonly choose: () => void;
  readonly why: () => void;
}

function TogetherRow({ one, now, setup, choose, why }: RowProps): ReactNode {
  const row = useRef<HTMLDivElement>(null);
  // The reading that is asked for stays in sight while they come one after the other.
  useEffect(() => {
    if (now) row.current?.scrollIntoView({ block: "nearest" });
  }, [now]);
  const { title, detail } = rowWords(setup, one);
  return (
    <div ref={row} className="together-row" data-now={now}>
      <button type="button" className="together-name" aria-current={now ? "step" : undefined} onClick={choose}>
        {title}
        <small>{detail}</small>
      </button>
      <button type="button" className="together-value" onClick={why}>
        <span className="unseen">Why: {one.name} </span>
        <Reading av={one.reading?.av ?? null} />
        <small>
          expect <Reading av={one.expectedAv} />
        </small>
      </button>
    </div>
  );
}

/** The convention in its trade words; the whole sentence of it stands in Plan and on the Sheet. */
function RatioRow({ ratio }: { ratio: RatioReport }): ReactNode {
  const lightToLight = ratio.convention === "light-to-light";
  const metered = ratio.meteredWords !== null;
  const stops = metered ? ratio.meteredStops : ratio.stops;
  return (
    <div className="together-row">
      <div>
        {lightToLight ? "Main to fill" : "Lit to shadow"}
        <small>
          {stops !== null && `${stops.toFixed(1).replace("-", "−")} stops, `}
          {lightToLight ? "light to light" : "dome to camera"}, {metered ? "metered" : "predicted"}
        </small>
      </div>
      <b>{ratio.meteredWords ?? ratio.words}</b>
    </div>
  );
}

/** "Lit cheek" and "camera left, none shaded": where on the body in full is said above the keys. */
function rowWords(setup: Setup, one: Asked): { readonly title: string; readonly detail: string } {
  const [first = "", ...rest] = one.name.replace(/^the /, "").split(", ");
  const where = rest.join(", ").replace(/ *\(.*\)/, "");
  const shade =
    one.shaded.length > 0
      ? `shade ${listWords(tagsOf(setup, one.shaded))}`
      : one.place.aim === "camera"
        ? "none shaded"
        : "";
  return { title: capital(first), detail: [where, shade].filter((words) => words !== "").join(", ") };
}

/** "All on, fire 1 to 4. Dome to the lens at the shadow cheek (sitter's left). Shade M and E by hand." */
function holdWords(setup: Setup, one: Asked): string {
  const groups = [
    ...new Set(setup.lights.filter((l) => l.on && l.triggerGroup !== "").map((l) => l.triggerGroup)),
  ].sort();
  const fire = groups.length === 0 ? "All on." : `All on, fire ${rangeWords(groups)}.`;
  const receptor = one.place.receptor === "dome" ? "Dome" : "Disc";
  const point = (one.id === "room" ? pointOf(setup, one.place.point).words : one.name).replace(/^the /, "");
  const hold =
    one.place.aim === "camera"
      ? `${receptor} to the lens at the ${point.replace(/, camera (left|right)/, "")}.`
      : `${receptor} flat on the ${point}.`;
  const shade = one.shaded.length === 0 ? "None shaded." : `Shade ${listWords(tagsOf(setup, one.shaded))} by hand.`;
  return `${fire} ${hold} ${shade}`;
}

/** "1 to 4" for trigger groups that follow each other, else all their names. */
function rangeWords(groups: readonly string[]): string {
  const [first = "", last = ""] = [groups[0], groups.at(-1)];
  const inRow = groups.length > 2 && groups.every((group, i) => group === String(Number(first) + i));
  return inRow ? `${first} to ${last}` : listWords(groups);
}

const tagsOf = (setup: Setup, ids: readonly string[]): readonly string[] =>
  ids.map((id) => setup.lights.find((l) => l.id === id)?.tag ?? "");

const capital = (words: string): string => words.charAt(0).toUpperCase() + words.slice(1);

function after(asked: readonly Asked[], current: Asked | undefined): Asked | undefined {
  const index = asked.findIndex((t) => t.id === current?.id);
  return asked[(index + 1) % asked.length];
}

/** The together readings, and last the room's own: the shadow cheek with a hand between the dome and every light. */
function askedTogether(setup: Setup, report: SetupReport): readonly Asked[] {
  const shadow = report.together.find((t) => t.id === "shadow-cheek") ?? report.together[0];
  if (shadow === undefined) return report.together.map(withExpected);
  const room: Asked = {
    id: "room",
    name: "room",
    place: shadow.place,
    shaded: setup.lights.filter((l) => l.on).map((l) => l.id),
    expectedAv: report.room.readsAv ?? null,
    reading: report.room.reading,
  };
  return [...report.together.map(withExpected), room];
}

type Asked = Omit<TogetherReport, "predicted" | "tone"> & { readonly expectedAv: number | null };

const withExpected = (one: TogetherReport): Asked => ({ ...one, expectedAv: one.predicted.av });
