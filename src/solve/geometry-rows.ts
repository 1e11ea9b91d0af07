/**
 * The rows of a ledger that geometry decides: size and distance, grid, direction, shading on the straight
 * way; one row each for light by way of panels and of the room. Gains come from photometry's kernel, each
 * marginal to the one before it. Error bars (1σ): distance ±2 cm, front sag 0.05, grid 0.04, aim ±3° 0.03
 * (common practice, no source); the room's reflectances half a stop.
 */

import type { Front, FrontGain } from "../photometry/index.ts";
import type { RowSeed } from "./ledger.ts";
import { quantityInput } from "./light-rows.ts";

const TAPE_M = 0.02;
const SAG_STOPS = 0.05;
const GRID_STOPS = 0.04;
const AIM_STOPS = 0.03;
const ROOM_STOPS = 0.5;
const PANEL_STOPS = 0.2;

/** Rows of the straight way from a front to a receptor. `place` names what moves together: one light at one spot. */
export function directRows(
  front: Front,
  gain: FrontGain,
  axialIntensity: number,
  pointWords: string,
  cause: string,
): RowSeed[] {
  // A beam with a dark middle has no marginal steps from its axis: one row says it all.
  const stepped =
    gain.beam > 0
      ? gain
      : {
          ...gain,
          size: gain.total > 0 ? gain.total / axialIntensity / gain.spread : 0,
          grid: 1,
          frontTurn: 1,
          receptorTurn: 1,
          direction: 1,
          shading: 1,
        };
  const rows = [sizeAndDistance(front, stepped, pointWords, cause)];
  if (front.grid) rows.push(gridRow(front, stepped, cause));
  rows.push(directionRow(stepped, cause), shadingRow(stepped, cause));
  return rows;
}

/** The one row of light by way of panels: M per unit of flux against the bare front's axis at 1 m. */
export function panelRow(factor: number, axialIntensity: number, pointWords: string): RowSeed {
  return {
    row: "size-and-distance",
    name: "By way of the panels",
    detail: `to the panels and back to the ${pointWords}`,
    stops: Math.log2(factor / axialIntensity),
    restsOn: "geometry",
    sigmaStops: PANEL_STOPS,
    cause: "panels",
    inputs: [quantityInput("received per lm·s sent", factor, "1/m²", 5)],
    formula: "stops = log2(received by way of panels / intensity on axis at 1 m)",
    source: "radiosity of the panels, Goral et al. 1984",
  };
}

/** The one row of light by way of walls, ceiling and floor. */
export function roomRow(factor: number, axialIntensity: number, pointWords: string): RowSeed {
  return {
    row: "size-and-distance",
    name: "By way of the room",
    detail: `walls, ceiling and floor to the ${pointWords}`,
    stops: Math.log2(factor / axialIntensity),
    restsOn: "assumed",
    sigmaStops: ROOM_STOPS,
    cause: "room",
    inputs: [quantityInput("received per lm·s sent", factor, "1/m²", 5)],
    formula: "stops = log2(received by way of the room / intensity on axis at 1 m)",
    source: "radiosity of the box room, Goral et al. 1984; reflectances assumed until a shaded reading",
  };
}

function sizeAndDistance(front: Front, gain: FrontGain, pointWords: string, cause: string): RowSeed {
  const { distanceM, spread, size } = gain;
  return {
    row: "size-and-distance",
    name: "Size and distance",
    detail: `${distanceM.toFixed(2)} m to the ${pointWords}${front.areaM2 > 0 ? ", whole front counted" : ""}`,
    stops: Math.log2(spread * size),
    restsOn: "geometry",
    sigmaStops: Math.hypot(((2 / Math.LN2) * TAPE_M) / Math.max(distanceM, TAPE_M), front.areaM2 > 0 ? SAG_STOPS : 0),
    cause,
    inputs: [
      quantityInput("distance d", distanceM, "m", 3),
      quantityInput("inverse square", stopsOf(spread), "stop", 3),
      quantityInput("front against a point", stopsOf(size), "stop", 3),
      quantityInput("front's area", front.areaM2, "m²", 3),
    ],
    formula: "stops = log2(1/d²) + log2(seen of the whole front / seen of a point)",
    source: "geometry: Lambert's polygon formula",
  };
}

function gridRow(front: Front, gain: FrontGain, cause: string): RowSeed {
  const grid = front.grid ?? { cellM: 1, depthM: 0, openFraction: 1 };
  return {
    row: "grid",
    name: "Grid",
    detail: `cell ${Math.round(grid.cellM * 1000)} mm, ${Math.round(grid.depthM * 1000)} mm deep`,
    stops: Math.log2(gain.grid),
    restsOn: "geometry",
    sigmaStops: GRID_STOPS,
    cause: `grid ${cause}`,
    inputs: [
      quantityInput("cell width w", grid.cellM, "m", 4),
      quantityInput("cell depth t", grid.depthM, "m", 4),
      quantityInput("cut-off, atan w/t", (Math.atan2(grid.cellM, grid.depthM) * 180) / Math.PI, "°", 1),
      quantityInput("open fraction", grid.openFraction, "", 2),
      quantityInput("seen of the front, 2·d·w/t", (2 * gain.distanceM * grid.cellM) / grid.depthM, "m", 2),
    ],
    formula:
      "stops = log2(seen with grid / seen without), pass = (1 − t/w·|tan θx|)·(1 − t/w·|tan θy|), none below zero",
    source: "geometry of black thin cells",
  };
}

function directionRow(gain: FrontGain, cause: string): RowSeed {
  const turned = Math.abs(Math.log2(gain.direction)) > 0.005;
  return {
    row: "direction",
    name: "Direction",
    detail: turned ? "the front or the receptor is turned away" : "front and receptor face each other",
    stops: Math.log2(gain.direction),
    restsOn: "geometry",
    sigmaStops: AIM_STOPS,
    cause: `aim ${cause}`,
    inputs: [
      quantityInput("front turned away", stopsOf(gain.frontTurn), "stop", 3),
      quantityInput("receptor turned away", stopsOf(gain.receptorTurn), "stop", 3),
    ],
    formula: "stops = log2(as aimed / facing)",
    source: "geometry: disc cos θ, dome (1 + cos θ)/2",
  };
}

function shadingRow(gain: FrontGain, cause: string): RowSeed {
  const stops = Math.log2(gain.shading);
  const clear = stops > -0.005;
  return {
    row: "shading",
    name: "Shading",
    detail: clear
      ? "head, body and panels are clear of it"
      : gain.shading === 0
        ? "something stands in the way of all of it"
        : "head, body, panels or lip stand in the way of a part",
    stops,
    restsOn: "geometry",
    // Half in shadow, a centimetre decides; clear of everything, nothing does.
    sigmaStops: clear ? 0 : Math.min(0.5, 0.2 * Math.abs(stops)),
    cause: `shade ${cause}`,
    inputs: [quantityInput("part that gets by", gain.shading, "", 3)],
    formula: "stops = log2(part of the front's light that gets by)",
    source: "geometry: head an ellipsoid, body capsules, panels polygons",
  };
}

const stopsOf = (gain: number): number | null => (gain > 0 ? Math.log2(gain) : null);
