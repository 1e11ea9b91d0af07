/** The modifiers and panels side by side, to one scale, each with what the dome would read a metre from its front. */

import { type ReactNode, useMemo } from "react";
import { modifierRow, type RowItem, readingRuns } from "../../../drawing/index.ts";
import { DOME, flashReading, frontFactor } from "../../../photometry/index.ts";
import { type Head, type Kit, type Modifier, modifierFront } from "../../../setup/index.ts";
import { iso, luxSeconds } from "../../../units/index.ts";
import { DrawingView } from "../../parts/drawing-view.tsx";

const PX_PER_M = 92;

export function ModifierStrip({ kit }: { kit: Kit }): ReactNode {
  const drawing = useMemo(() => modifierRow(itemsOf(kit), { perMetre: PX_PER_M }), [kit]);
  const head = strongest(kit);
  return (
    <figure className="modifier-strip">
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: it scrolls, and the keys must reach it */}
      <div className="kit-scroll" tabIndex={0} role="group" aria-label="Modifiers to one scale">
        <DrawingView fit="unit" drawing={drawing} />
      </div>
      {head !== null && (
        <figcaption className="quiet">
          Full power on {head.name}, ISO 100, dome 1 m from the middle of the front, whole front counted; catalogue or
          learned.
        </figcaption>
      )}
    </figure>
  );
}

function itemsOf(kit: Kit): readonly RowItem[] {
  const head = strongest(kit);
  const modifiers = kit.modifiers.map(
    (m): RowItem => ({
      id: m.id,
      name: m.name,
      shape: m.shape,
      widthM: m.widthM,
      heightM: m.heightM,
      grid: m.grid !== null,
      dark: false,
      reading: head === null ? [] : readingRuns(readingAtMetre(kit, head, m)),
      note: m.learnedReadings === 0 ? "predicted" : `${m.learnedReadings} reading${m.learnedReadings === 1 ? "" : "s"}`,
    }),
  );
  const panels = kit.panels.map(
    (p): RowItem => ({
      id: p.id,
      name: p.name,
      shape: "rectangle",
      widthM: p.widthM,
      heightM: p.heightM,
      grid: false,
      dark: p.reflectance < 0.1,
      reading: [{ text: p.role === "card" ? "card" : "flag" }],
      note: `${Math.round(p.reflectance * 100)} % returned`,
    }),
  );
  return [...modifiers, ...panels];
}

/** Av of a dome a metre before the front, facing it: H = Q·T·F with the whole front (SPEC of photometry). */
function readingAtMetre(kit: Kit, head: Head, modifier: Modifier): number {
  const front = modifierFront(modifier, { centre: [0, 0, 0], normal: [0, 0, 1] });
  const flux = (head.energyWs ?? 0) * head.efficacy * modifier.transmission;
  const exposure = flux * frontFactor(front, [0, 0, 1], [0, 0, -1], DOME);
  const constant = kit.meters[0]?.domeC ?? 340;
  const av = flashReading(luxSeconds(exposure), iso(100), { kind: "dome", constant });
  return av + head.learnedStops + modifier.learnedStops;
}

function strongest(kit: Kit): Head | null {
  const flashes = kit.heads.filter((h) => h.energyWs !== null);
  return flashes.reduce<Head | null>((most, h) => ((h.energyWs ?? 0) > (most?.energyWs ?? 0) ? h : most), null);
}
