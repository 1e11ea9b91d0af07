/**
 * A light's strip on the ladder: a press chooses the light; the jaws of a target that is so many stops under the
 * working aperture are dragged, a tenth at a time. A finger scrolls the page instead: the target is typed below.
 */

import { type PointerEvent, type ReactNode, useRef, useState } from "react";
import type { LadderDrawing, Strip } from "../../../drawing/index.ts";
import { type Edit, type Light, type Setup, targetAv } from "../../../setup/index.ts";
import type { SetupSession } from "../../data/setup-session.ts";

interface Props {
  readonly session: SetupSession;
  readonly setup: Setup;
  readonly light: Light;
  readonly strip: Strip;
  readonly drawing: LadderDrawing;
  readonly chosen: boolean;
  readonly choose: () => void;
}

/** How near the pointer must be to the target to take its jaws, px. */
const NEAR_PX = 20;

interface Drag {
  /** The scale as it was when the jaws were taken: a stretched ladder must not run from the pointer. */
  readonly drawing: LadderDrawing;
  readonly fromY: number;
  readonly fromStops: number;
  stops: number;
}

export function StripChoose({ session, setup, light, strip, drawing, chosen, choose }: Props): ReactNode {
  const drag = useRef<Drag | null>(null);
  const [near, setNear] = useState(false);
  const isNear = (event: PointerEvent): boolean =>
    event.pointerType !== "touch" &&
    light.target.kind === "under" &&
    Math.abs(heightIn(event) - drawing.yOf(targetAv(setup, light))) < NEAR_PX;
  const down = (event: PointerEvent): void => {
    if (light.target.kind !== "under" || !isNear(event)) return;
    const { stops } = light.target;
    drag.current = { drawing, fromY: heightIn(event), fromStops: stops, stops };
    event.currentTarget.setPointerCapture(event.pointerId);
  };
  const move = (event: PointerEvent): void => {
    const held = drag.current;
    if (held === null) {
      setNear(isNear(event));
      return;
    }
    const shift = held.drawing.avAt(held.fromY) - held.drawing.avAt(heightIn(event));
    const stops = Math.round((held.fromStops + shift) * 10) / 10;
    if (stops === held.stops) return;
    held.stops = stops;
    session.preview(underEdits(light, stops));
  };
  const up = (): void => {
    const held = drag.current;
    drag.current = null;
    if (held === null) return;
    if (held.stops === held.fromStops) session.preview(null);
    else session.change(`${light.tag} target`, underEdits(light, held.stops));
  };
  const cancel = (): void => {
    drag.current = null;
    session.preview(null);
  };
  return (
    <button
      type="button"
      className="strip-choose"
      style={{ left: strip.left, width: strip.right - strip.left, cursor: near ? "ns-resize" : "pointer" }}
      aria-pressed={chosen}
      aria-label={`Choose ${light.tag} ${light.role}`}
      onClick={choose}
      onPointerDown={down}
      onPointerMove={move}
      onPointerUp={up}
      onPointerCancel={cancel}
    />
  );
}

/** The pointer's height in the drawing, whose top is the strip's. */
const heightIn = (event: PointerEvent): number => event.clientY - event.currentTarget.getBoundingClientRect().top;

const underEdits = (light: Light, stops: number): readonly Edit[] => [
  { kind: "light", id: light.id, set: { target: { kind: "under", stops } } },
];
