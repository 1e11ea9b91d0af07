/**
 * The room to scale, from above or from the side. Lights, panels and the camera are dragged; the arrow keys
 * move the chosen one by a centimetre, with Alt a light goes round the sitter by a degree.
 */

import { type KeyboardEvent, type PointerEvent, type ReactNode, useRef, useState } from "react";
import { elevation, plan as planFromAbove, type RoomDrawing } from "../../../drawing/index.ts";
import type { Setup, XYZ } from "../../../setup/index.ts";
import type { SetupSession } from "../../data/setup-session.ts";
import { usePreferences } from "../../data/use.ts";
import { DrawingView } from "../../parts/drawing-view.tsx";
import { type Size, useSize } from "../../parts/use-size.ts";
import { CrossTable } from "./cross-table.tsx";
import { type Grip, gripOf, movedBy, moveEdits, nudgeEdits } from "./move-logic.ts";

interface Props {
  readonly session: SetupSession;
  readonly setup: Setup;
  readonly selected: string | null;
  readonly select: (id: string) => void;
}

export function PlanPane({ session, setup, selected, select }: Props): ReactNode {
  const [side, setSide] = useState<"top" | "side">("top");
  const { lengths } = usePreferences();
  const [pane, size] = useSize<HTMLDivElement>();
  const drag = useRef<{ grip: Grip; plan: RoomDrawing; last: Partial<XYZ> } | null>(null);
  const units = lengths === "feet" ? ("feet" as const) : ("metres" as const);
  const options = { perMetre: scaleFor(setup, side, size), units, selected };
  const plan = side === "top" ? planFromAbove(setup, options) : elevation(setup, options);

  const down = (part: string, event: PointerEvent<SVGElement>): void => {
    const grip = gripOf(setup, part);
    if (grip === null) return;
    select(grip.id);
    const at = inDrawing(event);
    if (at === null) return;
    const world = plan.toWorld(at[0], at[1]);
    drag.current = { grip: { ...grip, from: world }, plan, last: world };
    svgOf(event)?.setPointerCapture(event.pointerId);
  };
  const move = (event: PointerEvent<SVGSVGElement>): void => {
    if (drag.current === null) return;
    const at = inDrawing(event);
    if (at === null) return;
    drag.current.last = drag.current.plan.toWorld(at[0], at[1]);
    session.preview(moveEdits(drag.current.grip, drag.current.last));
  };
  const up = (): void => {
    const held = drag.current;
    drag.current = null;
    if (held === null) return;
    if (movedBy(held.grip, held.last) < 0.002) session.preview(null);
    else session.change(`move ${held.grip.tag}`, moveEdits(held.grip, held.last));
  };
  const cancel = (): void => {
    drag.current = null;
    session.preview(null);
  };
  const key = (event: KeyboardEvent): void => {
    if (event.key === "Escape") cancel();
    if (event.key === "Escape" || selected === null) return;
    const edits = nudgeEdits(setup, selected, event.key, event.altKey, side);
    if (edits === null) return;
    event.preventDefault();
    session.change("move with the keys", edits);
  };
  return (
    <section className="pane plan-pane" aria-label="Plan">
      <div className="pane-head">
        <h2>Plan</h2>
        <div className="choice" role="group" aria-label="View">
          <button type="button" aria-pressed={side === "top"} onClick={() => setSide("top")}>
            Top
          </button>
          <button type="button" aria-pressed={side === "side"} onClick={() => setSide("side")}>
            Side
          </button>
        </div>
        <div className="spring" />
        <span className="quiet">grid 1 m</span>
      </div>
      <div className="plan-scroll" ref={pane}>
        <div
          className="plan-drawing"
          // biome-ignore lint/a11y/noNoninteractiveTabindex: the plan is moved about with the arrow keys
          tabIndex={0}
          role="group"
          aria-label="Room to scale; arrow keys move the chosen light"
          onKeyDown={key}
        >
          <DrawingView
            fit="unit"
            drawing={plan}
            onPartDown={down}
            takes={(part) => gripOf(setup, part) !== null}
            svg={{ onPointerMove: move, onPointerUp: up, onPointerCancel: cancel }}
          />
        </div>
        <CrossTable setup={setup} selected={selected} />
        <p className="quiet plan-note">
          The cross is on the floor under{" "}
          {setup.subject.kind === "object" ? "the object’s reference point" : "the nose"}. Drag a light, type beside its
          strip, or move the chosen one with the arrow keys: 1 cm, with Alt 1°.
        </p>
      </div>
    </section>
  );
}

/** Walls, dimensions and air around the room in the drawing, px. */
const AROUND_PX = 64;

/** Pixels per metre so that the room fills the pane: its whole width, and at most two thirds of its height. */
function scaleFor(setup: Setup, side: "top" | "side", size: Size | null): number {
  const { widthM, depthM, heightM } = setup.room;
  const [wide, high] = side === "top" ? [widthM, depthM] : [depthM, heightM];
  const width = (size?.width ?? 440) - AROUND_PX;
  const height = Math.max(340, (size?.height ?? 780) * 0.66) - AROUND_PX;
  return Math.max(24, Math.min(width / wide, height / high));
}

const svgOf = (event: PointerEvent<SVGElement>): SVGSVGElement | null =>
  event.currentTarget instanceof SVGSVGElement ? event.currentTarget : event.currentTarget.ownerSVGElement;

/** The pointer in the drawing's own units. */
function inDrawing(event: PointerEvent<SVGElement>): [number, number] | null {
  const matrix = svgOf(event)?.getScreenCTM();
  if (matrix === null || matrix === undefined) return null;
  const point = new DOMPoint(event.clientX, event.clientY).matrixTransform(matrix.inverse());
  return [point.x, point.y];
}
