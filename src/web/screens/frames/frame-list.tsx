/** The frames as they came: what each shows, what it rests on, what is odd about it; add, correct, take out, watch a folder. */

import { type ChangeEvent, type FormEvent, type ReactNode, useRef, useState } from "react";
import type { Shows, WatchResult } from "../../../frames/index.ts";
import type { Light } from "../../../setup/index.ts";
import type { FrameCard } from "../../../store/types.ts";
import { FaultBox } from "../../parts/fault-box.tsx";
import { CautionMark } from "../../parts/marks.tsx";
import { Tag } from "../../parts/tag.tsx";
import type { FrameSession, FramesState } from "./frame-session.ts";

interface Props {
  readonly session: FrameSession;
  readonly state: FramesState;
  readonly lights: readonly Light[];
  readonly watched: readonly WatchResult[];
  /** What the check says of the frame with all lights, in a line; null before it is known. */
  readonly sumWords: string | null;
}

export function FrameList({ session, state, lights, watched, sumWords }: Props): ReactNode {
  const input = useRef<HTMLInputElement>(null);
  const choose = (event: ChangeEvent<HTMLInputElement>): void => {
    session.add([...(event.target.files ?? [])]);
    event.target.value = "";
  };
  const cards = state.cards ?? [];
  const alarms = watched.flatMap((one) => one.alarms.map((alarm) => ({ ...alarm, frameId: one.frameId })));
  return (
    <section className="pane frame-list" aria-label="Frames">
      <div className="pane-head">
        <h2>Frames</h2>
        <div className="spring" />
        <input
          ref={input}
          type="file"
          multiple
          accept={ACCEPT}
          aria-label="Frame files"
          className="unseen"
          tabIndex={-1}
          onChange={choose}
        />
        <button type="button" className="button" onClick={() => input.current?.click()}>
          Add
        </button>
      </div>
      <div className="frame-scroll">
        <Folder session={session} state={state} />
        {state.sending.length > 0 && (
          <p className="frame-sending" role="status">
            Reading {state.sending[0]}
            {state.sending.length > 1 && `, ${state.sending.length - 1} more wait`}
          </p>
        )}
        {state.faults.length > 0 && (
          <div className="frame-faults">
            <FaultBox faults={state.faults} />
            <button type="button" className="button bare" onClick={() => session.forgetFaults()}>
              Understood
            </button>
          </div>
        )}
        {cards.length === 0 && state.sending.length === 0 && (
          <p className="frame-none quiet">
            One frame with each light alone, one with all, one with none: same aperture, time, ISO and white balance, on
            a tripod. Drop the files here, add them, or let a folder be watched that the camera writes into.
          </p>
        )}
        <ul>
          {cards.map((card) => (
            <FrameItem key={card.id} card={card} cards={cards} lights={lights} session={session} sumWords={sumWords} />
          ))}
        </ul>
      </div>
      {(alarms.length > 0 || watched.length > 0) && (
        <div className="frame-watch" role="status" aria-label="Frame watch">
          <b>Frame watch</b>
          {alarms.length === 0 && <p className="quiet">{watched.length} later frames: all lights as they were</p>}
          {alarms.slice(-4).map((alarm) => (
            <p key={`${alarm.about ?? alarm.frameId} ${alarm.kind} ${alarm.lightId}`}>
              <CautionMark level="care" size={15} /> {alarm.words}
            </p>
          ))}
        </div>
      )}
    </section>
  );
}

const ACCEPT = ".jpg,.jpeg,.png,.tif,.tiff,.ppm,.pgm,.dng,.cr2,.cr3,.nef,.arw,.raf,.orf,.rw2,.pef";

interface ItemProps {
  readonly card: FrameCard;
  readonly cards: readonly FrameCard[];
  readonly lights: readonly Light[];
  readonly session: FrameSession;
  readonly sumWords: string | null;
}

function FrameItem({ card, cards, lights, session, sumWords }: ItemProps): ReactNode {
  const shows = card.assignment?.shows ?? null;
  const light = shows?.kind === "light" ? lights.find(({ id }) => id === shows.lightId) : undefined;
  const isAll = shows?.kind === "together";
  return (
    <li className="frame-item">
      <img src={`/api/frames/${encodeURIComponent(card.id)}/thumb`} alt="" width="60" height="80" loading="lazy" />
      <div>
        <div className="frame-name">
          {light !== undefined && <Tag tag={light.tag} hue={light.hue} />}
          <span title={card.name}>{shortName(card.name)}</span>
        </div>
        <label>
          <span className="unseen">What {card.name} shows</span>
          <select
            data-frame={card.name}
            value={choiceOf(shows)}
            onChange={(event) => void session.assign(card.id, showsOf(event.target.value, lights))}
          >
            {shows === null && <option value="">not known yet</option>}
            {lights.map((one) => (
              <option key={one.id} value={`light:${one.id}`}>
                {one.tag} {one.role} alone
              </option>
            ))}
            <option value="together">all together</option>
            <option value="ambient">none: the room alone</option>
            <option value="session">a later frame</option>
            <option value="aside">left out</option>
            {shows?.kind === "repeat" && <option value="repeat">{repeatWords(shows, cards)}</option>}
            {card.assignment?.by === "person" && <option value="machine">look again by itself</option>}
          </select>
        </label>
        <p className="quiet">
          {basisWords(card)}
          {isAll && sumWords !== null && (
            <>
              <br />
              <b>{sumWords}</b>
            </>
          )}
        </p>
        {card.assignment !== null && card.assignment.confidence < 0.5 && card.assignment.by !== "person" && (
          <p className="frame-note">
            <CautionMark level="note" size={14} /> Sure only to {Math.round(100 * card.assignment.confidence)} %:{" "}
            {card.assignment.why}
          </p>
        )}
        {card.notes.map((note) => (
          <p key={note.code} className="frame-note" title={note.mend}>
            <CautionMark level="care" size={14} /> {note.what}
          </p>
        ))}
        <button
          type="button"
          className="frame-remove"
          aria-label={`take out ${card.name}`}
          onClick={() => void session.remove(card.id)}
        >
          take out
        </button>
      </div>
    </li>
  );
}

const shortName = (name: string): string => name.replace(/\.[^.]+$/, "");

function basisWords({ basis, bits }: FrameCard): string {
  switch (basis) {
    case "raw":
      return `camera raw, linear, ${bits} bit`;
    case "linear-file":
      return `linear, ${bits} bit`;
    case "recovered":
      return `response recovered, ${bits} bit`;
    case "profile":
      return `tone curve, ${bits} bit: a sketch`;
  }
}

/** "0413 again, 0.3 brighter": a step of a bracket, or a second of the same. */
function repeatWords(
  { ofFrameId, stops }: Extract<Shows, { readonly kind: "repeat" }>,
  cards: readonly FrameCard[],
): string {
  const first = shortName(cards.find(({ id }) => id === ofFrameId)?.name ?? "another");
  const size = Math.abs(stops).toFixed(1);
  return size === "0.0" ? `${first} again` : `${first} again, ${size} ${stops > 0 ? "brighter" : "darker"}`;
}

const choiceOf = (shows: Shows | null): string =>
  shows === null ? "" : shows.kind === "light" ? `light:${shows.lightId}` : shows.kind;

function showsOf(value: string, lights: readonly Light[]): Shows | null {
  if (value.startsWith("light:")) return { kind: "light", lightId: value.slice("light:".length) };
  switch (value) {
    case "together":
      return { kind: "together", lightIds: lights.filter(({ on }) => on).map(({ id }) => id) };
    case "ambient":
    case "session":
    case "aside":
      return { kind: value };
    default:
      return null;
  }
}

/** Devices let in over the network are not told the path. */
function folderWords({ path, state }: FramesState["folder"]): string {
  const name = path ?? "A folder of the computer";
  switch (state) {
    case "off":
      return "No folder is watched";
    case "gone":
      return `${name} is not there; its frames come when it is back`;
    case "watching":
      return path === null ? "A folder of the computer is watched" : `Watching ${path}`;
  }
}

/** The folder that the camera's program writes into. */
function Folder({ session, state }: { session: FrameSession; state: FramesState }): ReactNode {
  const [open, setOpen] = useState(false);
  const [path, setPath] = useState(state.folder.path ?? "");
  const { folder } = state;
  const submit = (event: FormEvent): void => {
    event.preventDefault();
    setOpen(false);
    void session.watchFolder(path.trim() === "" ? null : path.trim());
  };
  if (!open) {
    return (
      <div className="frame-folder">
        <span className="quiet">{folderWords(folder)}</span>
        <button type="button" className="button bare" onClick={() => setOpen(true)}>
          {folder.path === null ? "Watch a folder" : "Change"}
        </button>
        <FaultBox faults={folder.faults} />
      </div>
    );
  }
  return (
    <form className="frame-folder" onSubmit={submit}>
      <label>
        Folder on this machine
        <input
          value={path}
          placeholder="/home/you/pictures/choir"
          onChange={(event) => setPath(event.target.value)}
          // biome-ignore lint/a11y/noAutofocus: the field was just asked for
          autoFocus
        />
      </label>
      <div>
        <button type="submit" className="button strong">
          {path.trim() === "" ? "Watch none" : "Watch"}
        </button>
        <button type="button" className="button bare" onClick={() => setOpen(false)}>
          Leave it
        </button>
      </div>
    </form>
  );
}
