/**
 * A new setup in under a minute: the working aperture first, then the room, then a pattern that places
 * itself. What does not fit is said on the pattern's own card, before anything is made.
 */

import { type KeyboardEvent, type ReactNode, useMemo, useState } from "react";
import { type Drawing, type IconLight, patternIcon } from "../../../drawing/index.ts";
import {
  applyEdits,
  type Kit,
  type PatternCard,
  patterns,
  placePattern,
  polarOf,
  positionOf,
  type Room,
  type Setup,
} from "../../../setup/index.ts";
import { planDials, predict } from "../../../solve/index.ts";
import { type Fault, parseLength } from "../../../units/index.ts";
import { Bar } from "../../app/bar.tsx";
import { go, setupPath } from "../../app/router.ts";
import { createSetup } from "../../data/book.ts";
import type { KitSession } from "../../data/kit-session.ts";
import { newId } from "../../data/new-id.ts";
import { useKit } from "../../data/use.ts";
import { useLength } from "../../data/use-length.ts";
import { DrawingView } from "../../parts/drawing-view.tsx";
import { FaultBox } from "../../parts/fault-box.tsx";
import { CautionMark } from "../../parts/marks.tsx";
import { NumberEntry } from "../../parts/number-entry.tsx";
import { Reading } from "../../parts/reading.tsx";
import { TargetLadder } from "./target-ladder.tsx";
import "./new.css";

const APERTURES: readonly number[] = [2, 3, 4, 5, 6, 7, 8];

export default function NewScreen({ kit: session }: { kit: KitSession }): ReactNode {
  const kit = useKit(session);
  const [apertureAv, setAperture] = useState(5);
  const [chosen, setChosen] = useState<string | null>(null);
  const placed = useMemo(() => (kit === null ? [] : placeAll(kit, apertureAv)), [kit, apertureAv]);
  const shown =
    placed.find((p) => p.pattern.id === chosen) ?? placed.find((p) => p.setup.lights.length === 4) ?? placed[0];
  return (
    <>
      <Bar at="book" />
      <main className="new">
        <div className="new-ladder" aria-hidden="true">
          <TargetLadder apertureAv={apertureAv} setup={shown?.setup ?? null} />
        </div>
        <div className="new-steps">
          <section aria-labelledby="aperture-question">
            <h1 id="aperture-question">Which aperture will you work at?</h1>
            <div
              className="apertures"
              role="radiogroup"
              aria-labelledby="aperture-question"
              onKeyDown={(event) => chooseByArrow(event, apertureAv, setAperture)}
            >
              {APERTURES.map((av) => (
                <button
                  key={av}
                  type="button"
                  role="radio"
                  aria-checked={av === apertureAv}
                  tabIndex={av === apertureAv ? 0 : -1}
                  className="aperture"
                  onClick={() => setAperture(av)}
                >
                  <Reading av={av} />
                </button>
              ))}
            </div>
            <p className="quiet">It becomes the bold rung. Every light is set so many stops under it.</p>
          </section>
          {kit === null ? <p className="quiet">Opening the kit</p> : <RoomStep kit={kit} session={session} />}
          <PatternStep placed={placed} chosen={shown?.pattern.id ?? ""} look={setChosen} />
          <p className="quiet new-foot">
            Everything stays on this machine. The patterns are starting points (common practice), then come the meter,
            test frames and taste.
          </p>
        </div>
      </main>
    </>
  );
}

/** One stop of Tab for the whole group; the arrows choose within it, round and round. */
function chooseByArrow(event: KeyboardEvent<HTMLElement>, apertureAv: number, choose: (av: number) => void): void {
  const by = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[event.key];
  if (by === undefined) return;
  event.preventDefault();
  const index = (APERTURES.indexOf(apertureAv) + by + APERTURES.length) % APERTURES.length;
  choose(APERTURES[index] ?? apertureAv);
  event.currentTarget.querySelectorAll<HTMLElement>("[role=radio]")[index]?.focus();
}

function RoomStep({ kit, session }: { kit: Kit; session: KitSession }): ReactNode {
  const length = useLength();
  const room = roomHere(kit);
  const change = (set: Partial<Room>): undefined => {
    if (room === null) return;
    session.change((k) => ({ ...k, rooms: k.rooms.map((r) => (r.id === room.id ? { ...r, ...set } : r)) }));
  };
  if (room === null) return null;
  const side = (label: string, value: number, set: (m: number) => Partial<Room>): ReactNode => (
    <NumberEntry
      label={label}
      value={length(value)}
      parse={(text) => parseLength(text, { where: label })}
      commit={(m) => change(set(m))}
      step={{ current: value, by: 0.1 }}
    />
  );
  return (
    <section aria-labelledby="room-question">
      <h2 id="room-question">The room you are in</h2>
      <div className="room-step">
        <label className="entry">
          room
          <select value={room.id} onChange={(e) => session.change((k) => ({ ...k, roomHereId: e.target.value }))}>
            {kit.rooms.map((r) => (
              <option key={r.id} value={r.id}>
                {r.name}
              </option>
            ))}
          </select>
        </label>
        {side("width", room.widthM, (widthM) => ({ widthM, crossFromLeftM: widthM / 2 }))}
        {side("depth", room.depthM, (depthM) => ({ depthM }))}
        {side("ceiling", room.heightM, (heightM) => ({ heightM }))}
      </div>
    </section>
  );
}

/** A pattern as it would stand in this room with this kit, and what does not fit. */
interface Placed {
  readonly pattern: PatternCard;
  readonly setup: Setup;
  readonly doesNotFit: readonly Fault[];
}

function placeAll(kit: Kit, apertureAv: number): readonly Placed[] {
  const room = roomHere(kit);
  if (room === null) return [];
  return patterns.map((pattern) => ({ pattern, ...placePattern(pattern.id, { kit, room, apertureAv, newId }) }));
}

interface PatternStepProps {
  readonly placed: readonly Placed[];
  readonly chosen: string;
  readonly look: (patternId: string) => void;
}

function PatternStep({ placed, chosen, look }: PatternStepProps): ReactNode {
  const [faults, setFaults] = useState<readonly Fault[]>([]);
  const [making, setMaking] = useState(false);
  const make = async (index: number): Promise<void> => {
    const entry = placed[index];
    if (entry === undefined || making) return;
    setMaking(true);
    const planned = applyEdits(entry.setup, planDials(entry.setup, predict(entry.setup).lights));
    const setup = planned.ok ? planned.value : entry.setup;
    const made = await createSetup({ ...setup, createdAt: new Date().toISOString() });
    setMaking(false);
    if (made.ok) go(setupPath(made.value.id, "plan"));
    else setFaults(made.faults);
  };
  return (
    <section aria-labelledby="pattern-question">
      <h2 id="pattern-question">Start from a pattern</h2>
      <p className="quiet">Targets and angles; distances are worked out for this room and your kit.</p>
      <FaultBox faults={faults} />
      <ul className="pattern-list">
        {placed.map(({ pattern, setup, doesNotFit }, index) => (
          <li key={pattern.id}>
            <button
              type="button"
              className="pattern"
              disabled={making}
              data-pattern={pattern.id}
              onPointerEnter={() => look(pattern.id)}
              onFocus={() => look(pattern.id)}
              aria-describedby={`fits-${pattern.id}`}
              data-chosen={pattern.id === chosen}
              onClick={() => void make(index)}
            >
              <DrawingView fit="unit" className="pattern-icon" drawing={iconOf(pattern.name, setup)} />
              <span>
                <b>{pattern.name}</b>
                <span className="quiet">{pattern.words}</span>
                <FitLine id={`fits-${pattern.id}`} faults={doesNotFit} />
              </span>
            </button>
          </li>
        ))}
      </ul>
    </section>
  );
}

function FitLine({ id, faults }: { id: string; faults: readonly Fault[] }): ReactNode {
  const first = faults[0];
  return (
    <span id={id} className="fit-line">
      {first === undefined ? (
        "fits this room and kit"
      ) : (
        <>
          <CautionMark level="care" size={14} />
          {first.what}
          {faults.length > 1 && ` and ${faults.length - 1} more`}
        </>
      )}
    </span>
  );
}

/** The pattern from above, as it would stand here: lights and cards round the head. */
function iconOf(name: string, setup: Setup): Drawing {
  const lights = setup.lights.map(
    (light): IconLight => ({
      azimuthDeg: polarOf(positionOf(light.place, setup), setup).azimuthDeg,
      hue: light.hue,
      breadth: Math.min(1.6, Math.max(0.4, light.modifier.widthM / 0.9)),
      card: false,
    }),
  );
  const cards = setup.panels.map(
    (panel): IconLight => ({
      azimuthDeg: polarOf(positionOf(panel.place, setup), setup).azimuthDeg,
      hue: panel.hue,
      breadth: 1,
      card: true,
    }),
  );
  return patternIcon(name, [...lights, ...cards], 84);
}

const roomHere = (kit: Kit): Room | null => kit.rooms.find((r) => r.id === kit.roomHereId) ?? kit.rooms[0] ?? null;
