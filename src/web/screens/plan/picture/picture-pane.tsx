/**
 * The picture beside the plan: each light a layer of its own, on, off or alone; plain, in stops, or both under a
 * wipe; with and without a light; from the camera or walked round; a probe that reads like a meter. Numbers never
 * wait for it.
 */

import { type ReactNode, useCallback, useEffect, useMemo, useState, useSyncExternalStore } from "react";
import { type LayerGain, mixLayers, stopsLegend } from "../../../../picture/index.ts";
import type { Setup } from "../../../../setup/index.ts";
import type { SetupReport } from "../../../../solve/index.ts";
import { gainsOf, setupReference } from "../../../../work/index.ts";
import { TickField } from "../../../parts/fields/fields.tsx";
import { dollied, type FreeView, firstView, freeCamera, orbited, panned } from "./free-view.ts";
import { keepFromLayers, openPane } from "./keep-pictures.ts";
import { namedLayers } from "./layer-names.ts";
import { liftedGains, liftsOf, liftWords } from "./lift.ts";
import type { Held, PictureView } from "./messages.ts";
import { PictureFrame, type Walk } from "./picture-frame.tsx";
import { PictureJob } from "./picture-job.ts";
import { ProbeList } from "./probe-list.tsx";
import { progressWords } from "./progress-words.ts";
import { Strip } from "./strip.tsx";
import { Switches } from "./switches.tsx";
import "./picture.css";

type Look = "plain" | "stops" | "both";

/** Pixels traced along the longer side: on a processor few enough that passes come in seconds. */
const LONG_SIDE_PX = { "graphics card": 840, processor: 320 } as const;
/** Stands are dark and the set is lit for a face: the free view is shown so much brighter, and says so. */
const FREE_LIFT_STOPS = 2;

export default function PicturePane({ setup, report }: { setup: Setup; report: SetupReport }): ReactNode {
  const [job] = useState(() => new PictureJob());
  useEffect(() => () => job.end(), [job]);
  useEffect(openPane, []);
  const state = useSyncExternalStore(job.watch, job.state);
  const [look, setLook] = useState<Look>("plain");
  const [off, setOff] = useState<readonly string[]>([]);
  const [alone, setAlone] = useState<string | null>(null);
  const [lifted, setLifted] = useState(false);
  const [without, setWithout] = useState<string>("stops");
  const [wipe, setWipe] = useState(52);
  const [marks, setMarks] = useState(false);
  const [strip, setStrip] = useState(false);
  const [blur, setBlur] = useState(false);
  const [free, setFree] = useState<FreeView | null>(null);
  const [held, setHeld] = useState<Held>({ receptor: "dome", aim: "camera" });
  const [spot, setSpot] = useState<{ x: number; y: number; pressed: boolean } | null>(null);

  const longSide = LONG_SIDE_PX[state.engine ?? "processor"];
  const shape = free === null ? pictureSize(setup, longSide) : freeSize(longSide);
  const [width, height] = shape;
  const depthAv = blur ? setup.exposure.apertureAv : null;
  const view = useMemo(
    (): PictureView =>
      free === null ? { kind: "camera", depthAv } : { kind: "free", camera: freeCamera(free, width / height) },
    [free, depthAv, width, height],
  );
  const ready = state.engine !== null;
  useEffect(() => {
    if (ready) job.show(setup, width, height, view);
  }, [job, ready, setup, width, height, view]);
  useEffect(() => {
    if (spot === null || free !== null) job.endProbe();
    else job.probe(spot.x, spot.y, held);
  }, [job, spot, held, free]);

  const gains = useMemo(() => gainsOf(setup), [setup]);
  const lifts = useMemo(() => liftsOf(report), [report]);
  const shownGains = useMemo((): readonly LayerGain[] => {
    if (alone !== null) return liftedGains(gains, alone, lifted ? (lifts.get(alone) ?? 0) : 0);
    return gains.map((gain) => ({ ...gain, on: gain.on && !off.includes(gain.lightId) }));
  }, [gains, off, alone, lifted, lifts]);
  const { layers } = state;
  const main = useMixed(setup, layers, shownGains, free === null ? 0 : FREE_LIFT_STOPS);
  const otherGains = useMemo(
    () =>
      look !== "both" || without === "stops"
        ? null
        : shownGains.map((g) => (g.lightId === without ? { ...g, on: false } : g)),
    [look, without, shownGains],
  );
  const other = useMixed(setup, layers, otherGains, free === null ? 0 : FREE_LIFT_STOPS);
  const settled = state.done && !state.stale && state.sketched.length === 0 && free === null && !blur;
  useEffect(() => {
    if (settled && layers.length > 0) void keepFromLayers(setup, report, layers);
  }, [settled, setup, report, layers]);
  const walk = useCallback((step: Walk) => setFree((now) => (now === null ? null : walked(now, step))), []);
  const probe = useCallback((x: number, y: number, pressed: boolean) => setSpot({ x, y, pressed }), []);
  const drawnMain = useMemo(
    () => (main === null ? null : { linear: main, stops: look === "stops", marks: marks && look === "plain" }),
    [main, look, marks],
  );
  const drawnOver = useMemo(
    () => (look !== "both" || main === null ? null : { linear: other ?? main, stops: other === null, marks: false }),
    [look, main, other],
  );
  const shownWidth = layers[0]?.width ?? width;
  const aloneTag = namedLayers(setup).find(({ id }) => id === alone)?.tag;
  const lift = alone === null ? 0 : (lifts.get(alone) ?? 0);
  return (
    <section className="pane picture-pane" aria-label="Picture">
      <div className="pane-head">
        <h2>Picture</h2>
        <div className="spring" />
        <div className="choice" role="group" aria-label="Shown as">
          {(["plain", "stops", "both"] as const).map((one) => (
            <button key={one} type="button" aria-pressed={look === one} onClick={() => setLook(one)}>
              {one === "plain" ? "Plain" : one === "stops" ? "Stops" : "Both"}
            </button>
          ))}
        </div>
      </div>
      <PictureFrame
        width={shownWidth}
        height={layers[0]?.height ?? height}
        shape={shape}
        dim={state.stale}
        main={drawnMain}
        over={drawnOver}
        wipe={wipe}
        setWipe={setWipe}
        spot={spot}
        probe={probe}
        walk={free === null ? null : walk}
        back={() => setFree(null)}
      />
      {look === "both" && (
        <div className="picture-wipe">
          <input
            type="range"
            min="0"
            max="100"
            value={wipe}
            aria-label="Wipe"
            onChange={(event) => setWipe(Number(event.target.value))}
          />
          <select value={without} aria-label="Right of the wipe" onChange={(event) => setWithout(event.target.value)}>
            <option value="stops">in stops</option>
            {namedLayers(setup).map((light) => (
              <option key={light.id} value={light.id}>
                without {light.tag}
              </option>
            ))}
          </select>
        </div>
      )}
      <div className="picture-view">
        <div className="choice" role="group" aria-label="Seen from">
          <button type="button" aria-pressed={free === null} onClick={() => setFree(null)}>
            Camera
          </button>
          <button type="button" aria-pressed={free !== null} onClick={() => setFree(free ?? firstView(setup))}>
            Walk round
          </button>
        </div>
        {state.stopped ? (
          <button type="button" className="button" onClick={() => job.goOn()}>
            Go on
          </button>
        ) : (
          <button type="button" className="button" disabled={state.done} onClick={() => job.stop()}>
            Stop here
          </button>
        )}
      </div>
      <p className="picture-state quiet" role="status">
        {progressWords(state, setup)}
      </p>
      {free !== null && (
        <p className="picture-note quiet">
          Drag turns, with Shift or two fingers it moves across, the wheel goes nearer. Keys: arrows, Shift with arrows,
          + and −; Escape goes back to the camera. Shown {FREE_LIFT_STOPS} stops brighter than through the camera; the
          setup stays as it is.
        </p>
      )}
      {look === "plain" ? (
        <TickField label="mark what clips and what is crushed" value={marks} commit={setMarks} />
      ) : (
        <Legend />
      )}
      {free === null && <TickField label="only the depth in focus sharp" value={blur} commit={setBlur} />}
      <Switches setup={setup} off={off} alone={alone} setOff={setOff} setAlone={setAlone} />
      <TickField label="lift a light alone by its stops under the main" value={lifted} commit={setLifted} />
      {aloneTag !== undefined && (
        <p className="picture-note" role="status">
          {aloneTag} alone{lifted ? liftWords(lift) || ", as it is: not under the main" : ""}
        </p>
      )}
      <TickField label="small pictures of each light" value={strip} commit={setStrip} />
      {strip && (
        <Strip
          setup={setup}
          layers={layers}
          gains={gains}
          lifts={lifted ? lifts : null}
          alone={alone}
          setAlone={setAlone}
        />
      )}
      {free === null && (
        <ProbeList
          setup={setup}
          probe={state.probe}
          held={held}
          setHeld={setHeld}
          gains={shownGains}
          picture={main === null || shownWidth !== width ? null : { linear: main, width }}
          spoken={spot?.pressed === true}
        />
      )}
    </section>
  );
}

/** The mix of the layers as they are; no ray is traced for it. */
function useMixed(
  setup: Setup,
  layers: Parameters<typeof mixLayers>[0],
  gains: readonly LayerGain[] | null,
  liftStops: number,
): Float32Array | null {
  const reference = setupReference(setup);
  const offset = (setup.camera.meterOffsetStops ?? 0) - liftStops;
  return useMemo(
    () => (layers.length === 0 || gains === null ? null : mixLayers(layers, gains, reference, offset)),
    [layers, gains, reference, offset],
  );
}

function walked(view: FreeView, { turn, pan, dolly }: Walk): FreeView {
  const turned = turn === undefined ? view : orbited(view, ...turn);
  const moved = pan === undefined ? turned : panned(turned, ...pan);
  return dolly === undefined ? moved : dollied(moved, dolly);
}

/** The camera's own shape, the longer side as many pixels as are traced. */
function pictureSize({ camera }: Setup, longSide: number): readonly [number, number] {
  const long = Math.max(camera.sensorWidthMm, camera.sensorHeightMm);
  const short = Math.min(camera.sensorWidthMm, camera.sensorHeightMm);
  const shortPx = Math.round((longSide * short) / long);
  return camera.upright ? [shortPx, longSide] : [longSide, shortPx];
}

/** A set is wider than high. */
const freeSize = (longSide: number): readonly [number, number] => [longSide, Math.round(0.75 * longSide)];

function Legend(): ReactNode {
  return (
    <ul className="picture-legend" aria-label="Stops from a mid grey card">
      {stopsLegend().map((entry) => (
        <li key={entry.label}>
          <i style={{ background: `rgb(${entry.colour.join()})` }} />
          {entry.label}
        </li>
      ))}
    </ul>
  );
}
