/** All lights on: the very readings that were predicted, one after the other, and what they say together. */

import { type ReactNode, useState } from "react";
import { ladder } from "../../../drawing/index.ts";
import type { Setup } from "../../../setup/index.ts";
import type { SetupReport, TogetherReport } from "../../../solve/index.ts";
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
          <DrawingView
            drawing={ladder(setup, report, { style: "phone", width: 148, height: 344, bracket: false, room: false })}
          />
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
            <div key={ratio.name} className="together-row">
              <div>
                {ratio.convention === "light-to-light" ? "Main to fill" : "Lit to shadow"}
                <small>{ratio.name}</small>
              </div>
              <b>{ratio.meteredWords ?? ratio.words}</b>
            </div>
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
  return (
    <div className="together-row" data-now={now}>
      <button type="button" className="together-name" aria-current={now ? "step" : undefined} onClick={choose}>
        {one.name}
        <small>{shadeWords(setup, one)}</small>
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

function holdWords(setup: Setup, one: Asked): string {
  const groups = setup.lights.filter((l) => l.on && l.triggerGroup !== "").map((l) => l.triggerGroup);
  const fire = groups.length === 0 ? "All on." : `All on, fire ${listWords([...new Set(groups)])}.`;
  return `${fire} ${one.name}. ${shadeWords(setup, one)}`;
}

function shadeWords(setup: Setup, one: Asked): string {
  const tags = one.shaded.map((id) => setup.lights.find((l) => l.id === id)?.tag ?? "");
  return tags.length === 0 ? "none shaded" : `a hand’s shadow for ${listWords(tags)}`;
}

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
    name: "room, every light shaded",
    place: shadow.place,
    shaded: setup.lights.filter((l) => l.on).map((l) => l.id),
    expectedAv: report.room.readsAv ?? null,
    reading: report.room.reading,
  };
  return [...report.together.map(withExpected), room];
}

type Asked = Omit<TogetherReport, "predicted" | "tone"> & { readonly expectedAv: number | null };

const withExpected = (one: TogetherReport): Asked => ({ ...one, expectedAv: one.predicted.av });
