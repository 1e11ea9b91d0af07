/**
 * Frames: photographs shot one light at a time. What each shows, whether they add up, what any mix of them looks like,
 * what patches read, which turns reach a wanted picture, and what changed in the frames that came later.
 */

import { type DragEvent, type ReactNode, useEffect, useMemo, useRef, useState, useSyncExternalStore } from "react";
import type { MixSetting, Patch } from "../../../frames/index.ts";
import type { Setup } from "../../../setup/index.ts";
import { createSolver, type SetupReport } from "../../../solve/index.ts";
import type { FrameCard } from "../../../store/types.ts";
import { printTurn, stops as toStops } from "../../../units/index.ts";
import { Bar } from "../../app/bar.tsx";
import type { SetupSession } from "../../data/setup-session.ts";
import { useSetupView } from "../../data/use.ts";
import { Refused } from "../../parts/refused.tsx";
import { AdvicePart } from "./advice-part.tsx";
import { FrameList } from "./frame-list.tsx";
import { partsOf, settingsOf } from "./frame-parts.ts";
import { FrameSession } from "./frame-session.ts";
import type { PatchRow } from "./messages.ts";
import { MixJob } from "./mix-job.ts";
import { MixPanel } from "./mix-panel.tsx";
import { DifferenceView, MixView, type Spot } from "./mix-view.tsx";
import { PatchTable } from "./patches.tsx";
import { useProxies } from "./proxies.ts";
import { TonesView } from "./tones.tsx";
import "./frames.css";

export default function FramesScreen({ session }: { session: SetupSession }): ReactNode {
  const view = useSetupView(session);
  return (
    <div className="frames">
      <Bar at="frames" session={session} />
      <Refused session={session} />
      {view === null ? <main className="waiting" aria-busy="true" /> : <Frames session={session} setup={view.setup} />}
    </div>
  );
}

function Frames({ session, setup }: { session: SetupSession; setup: Setup }): ReactNode {
  const [frames] = useState(() => new FrameSession(session.id));
  const [job] = useState(() => new MixJob());
  useEffect(() => {
    frames.open();
    return () => frames.close();
  }, [frames]);
  useEffect(() => () => job.end(), [job]);
  const state = useSyncExternalStore(frames.watch, frames.state);
  const mix = useSyncExternalStore(job.watch, job.state);
  const cards = state.cards ?? NO_CARDS;
  const given = useProxies(cards, job, frames);
  const parts = useMemo(() => partsOf(cards, setup, given), [cards, setup, given]);
  const partsKey = JSON.stringify(parts);
  // biome-ignore lint/correctness/useExhaustiveDependencies: the parts' text says when they changed
  useEffect(() => job.parts(parts, tagsOf(setup), setup.exposure.whiteBalanceK), [job, partsKey]);

  const [wishes, setWishes] = useState<readonly MixSetting[]>([]);
  const settings = useMemo(() => settingsOf(parts, wishes), [parts, wishes]);
  const [patches, setPatches] = useState<readonly Patch[]>([]);
  const [placing, setPlacing] = useState(false);
  const [greyId, setGrey] = useState<string | null>(null);
  const longSidePx = Math.min(1600, Math.round(640 * Math.min(2, devicePixelRatio)));
  // biome-ignore lint/correctness/useExhaustiveDependencies: a change of the parts asks for a new mix
  useEffect(
    () => job.mix({ settings, patches, greyId, longSidePx }),
    [job, settings, patches, greyId, longSidePx, partsKey],
  );

  const report = useShotReport(setup, cards);
  const together = cards.find(({ id }) => id === parts.togetherId) ?? null;
  const size = mix.size ?? sizeOf(cards, setup);
  const place = (spot: Spot): void => {
    const side = Math.max(6, Math.round(Math.max(...size) / 50));
    const x = Math.round(Math.min(size[0] - side, Math.max(0, spot.x * size[0] - side / 2)));
    const y = Math.round(Math.min(size[1] - side, Math.max(0, spot.y * size[1] - side / 2)));
    setPatches([
      ...patches,
      { id: freshId(patches), name: `patch ${patches.length + 1}`, x, y, width: side, height: side },
    ]);
  };
  const [over, drop] = useDrop((files) => frames.add(files));
  const low = (
    <div className="frames-low">
      <section className="tones-pane" aria-label="Tones in the mix">
        <div className="pane-head">
          <h2>Tones in the mix</h2>
          <div className="spring" />
          <span className="quiet">linear, stops from mid grey</span>
        </div>
        <TonesView tones={mix.tones} hues={looksOf(setup)} />
      </section>
      <PatchTable
        rows={mix.rows}
        placing={placing}
        setPlacing={setPlacing}
        rename={(id, name) => setPatches(patches.map((one) => (one.id === id ? { ...one, name } : one)))}
        greyId={greyId}
        setGrey={setGrey}
        whites={mix.whites}
        tags={tagsOf(setup)}
        remove={(id) => setPatches(patches.filter((one) => one.id !== id))}
      />
    </div>
  );
  return (
    <main className="frames-main" data-over={over} {...drop}>
      <FrameList
        session={frames}
        state={state}
        lights={setup.lights}
        watched={mix.watched}
        sumWords={mix.check === null ? null : `${mix.check.rmsStops.toFixed(2)} stop: ${mix.check.verdict}`}
      />
      <div className="frames-middle">
        <div className="pane frames-pair">
          <div className="frames-mix">
            <MixView
              words={mixWords(settings, setup)}
              mix={mix.mix}
              together={mix.together}
              frameName={together?.name ?? null}
              rows={mix.rows}
              size={size}
              placing={placing}
              place={place}
            />
            {mix.failed !== null && <p role="alert">The mix stopped: {mix.failed}</p>}
          </div>
          <DifferenceView
            check={mix.check}
            map={mix.map}
            under={mix.together}
            size={size}
            words={together === null ? "" : `${sumWords(parts.lights, setup)}, as shot, against ${together.name}`}
            missing={missingWords(parts, mix.check !== null)}
          />
        </div>
        {low}
      </div>
      <MixPanel
        session={session}
        setup={setup}
        report={report}
        settings={settings}
        change={setWishes}
        patchSteps={stepsOf(mix.rows)}
      >
        <AdvicePart
          job={job}
          advice={mix.advice}
          rows={mix.rows}
          cards={cards}
          setup={setup}
          parts={parts}
          use={(turns) =>
            setWishes(
              settings.map((one) => {
                const turn = turns.find(({ lightId }) => lightId === one.lightId);
                if (turn === undefined) return one;
                return turn.wantedStops === null ? { ...one, on: false } : { ...one, on: true, stops: turn.turnStops };
              }),
            )
          }
        />
        <ExportPart setup={setup} settings={settings} ready={parts.lights.length > 0} />
      </MixPanel>
    </main>
  );
}

const NO_CARDS: readonly FrameCard[] = [];

/** The setup's report with the readings that were there when the frames came: what each light read as it was shot. */
function useShotReport(setup: Setup, cards: readonly FrameCard[]): SetupReport {
  const [solver] = useState(() => createSolver());
  const until = cards.reduce((latest, card) => {
    const alone = card.assignment?.shows.kind === "light";
    return alone && card.addedAt > latest ? card.addedAt : latest;
  }, "");
  return useMemo(
    () =>
      solver.report(
        until === ""
          ? setup
          : { ...setup, readings: setup.readings.filter(({ at }) => Date.parse(at) <= Date.parse(until)) },
      ),
    [solver, setup, until],
  );
}

/** A patch's id, never used before among these. */
function freshId(patches: readonly Patch[]): string {
  const last = patches.reduce((most, { id }) => Math.max(most, Number(id.split("-")[1])), 0);
  return `patch-${last + 1}`;
}

/** Files dropped anywhere on the screen. */
function useDrop(take: (files: readonly File[]) => void): [boolean, object] {
  const [over, setOver] = useState(false);
  const depth = useRef(0);
  const hasFiles = (event: DragEvent): boolean => event.dataTransfer.types.includes("Files");
  const count = (by: number): void => {
    depth.current = Math.max(0, depth.current + by);
    setOver(depth.current > 0);
  };
  return [
    over,
    {
      onDragEnter: (event: DragEvent) => hasFiles(event) && count(1),
      onDragLeave: (event: DragEvent) => hasFiles(event) && count(-1),
      onDragOver: (event: DragEvent) => hasFiles(event) && event.preventDefault(),
      onDrop: (event: DragEvent) => {
        if (!hasFiles(event)) return;
        event.preventDefault();
        depth.current = 0;
        setOver(false);
        take([...event.dataTransfer.files]);
      },
    },
  ];
}

const tagsOf = (setup: Setup): Record<string, string> =>
  Object.fromEntries(setup.lights.map(({ id, tag }) => [id, tag]));

const looksOf = (setup: Setup): ReadonlyMap<string, { readonly hue: number; readonly tag: string }> =>
  new Map(setup.lights.map(({ id, hue, tag }) => [id, { hue, tag }]));

/** The frames' own shape before a mix is there: the first card's, else the camera's. */
function sizeOf(cards: readonly FrameCard[], { camera }: Setup): readonly [number, number] {
  const first = cards[0];
  if (first !== undefined) return [first.proxy.width, first.proxy.height];
  const [long, short] = [camera.sensorWidthMm, camera.sensorHeightMm];
  return camera.upright ? [short, long] : [long, short];
}

const sumWords = (lights: readonly { readonly lightId: string }[], setup: Setup): string =>
  lights.map(({ lightId }) => tagsOf(setup)[lightId] ?? "?").join(" + ");

function mixWords(settings: readonly MixSetting[], setup: Setup): string {
  if (settings.length === 0) return "";
  const tags = tagsOf(setup);
  const changed = settings.flatMap(({ lightId, on, stops, miredShift }) => {
    const tag = lightId === "ambient" ? "room" : (tags[lightId] ?? "?");
    if (!on) return [`${tag} off`];
    const colour = miredShift === 0 ? "" : ` ${miredShift > 0 ? "warmer" : "cooler"}`;
    if (stops === 0) return colour === "" ? [] : [`${tag}${colour}`];
    return [`${tag} ${printTurn(toStops(stops))}${colour}`];
  });
  return changed.length === 0 ? "as shot" : changed.join(", ");
}

function missingWords(parts: ReturnType<typeof partsOf>, hasCheck: boolean): string | null {
  if (hasCheck) return null;
  if (parts.lights.length === 0) return "Frames of single lights, and one with all of them, are compared here.";
  if (parts.togetherId === null) return "A frame with all lights on is missing: with it the sum is checked.";
  return "Adding them up";
}

/** Stops from patch 1 down to patch 2. */
function stepsOf([first, second]: readonly PatchRow[]): {
  readonly words: string;
  readonly shot: number;
  readonly mixed: number;
} | null {
  if (!first || !second || first.mixStops === null || second.mixStops === null) return null;
  if (first.frameStops === null || second.frameStops === null) return null;
  return {
    words: `${first.patch.name} to ${second.patch.name}`,
    shot: first.frameStops - second.frameStops,
    mixed: first.mixStops - second.mixStops,
  };
}

/** The mix at full size, made by the server from the frames as they came. */
function ExportPart({
  setup,
  settings,
  ready,
}: {
  readonly setup: Setup;
  readonly settings: readonly MixSetting[];
  readonly ready: boolean;
}): ReactNode {
  const [state, setState] = useState<string | null>(null);
  const save = async (format: "tiff16" | "png16"): Promise<void> => {
    setState("Making it at full size");
    const response = await fetch(`/api/setups/${encodeURIComponent(setup.id)}/frames/mix`, {
      method: "POST",
      headers: { "content-type": "application/json" },
      body: JSON.stringify({ settings, format }),
    }).catch(() => null);
    if (response === null || !response.ok) {
      const answer = (await response?.json().catch(() => null)) as { faults?: readonly { what: string }[] } | null;
      setState(`Not made: ${answer?.faults?.[0]?.what ?? "the server does not answer"}`);
      return;
    }
    const link = document.createElement("a");
    link.href = URL.createObjectURL(await response.blob());
    link.download = `${setup.title} mix.${format === "tiff16" ? "tif" : "png"}`;
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
    setState(null);
  };
  if (!ready) return null;
  return (
    <div className="mix-export">
      <span className="quiet">{state ?? "This mix at full size, 16 bit:"}</span>
      <button type="button" className="button" onClick={() => void save("tiff16")}>
        TIFF
      </button>
      <button type="button" className="button" onClick={() => void save("png16")}>
        PNG
      </button>
    </div>
  );
}
