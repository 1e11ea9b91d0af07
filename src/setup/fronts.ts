/**
 * From a light of the document to the front that photometry computes with, and the outlines of panels.
 * Nothing is stored twice: position, axis and outline all follow from place, aim, roll and modifier.
 * World axes, metres, degrees.
 */

import {
  bareFront,
  type Dressing,
  discFront,
  type Front,
  type IntensityField,
  intensityField,
  lobeFront,
  measuredFront,
  octagonFront,
  type Pose,
  parsePhotometricFile,
  rectangleFront,
  umbrellaFront,
} from "../photometry/index.ts";
import { add, addScaled, cross, expectOk, length, normalize, subtract, type Vec3 } from "../units/index.ts";
import { directionOf, noseOf, positionOf } from "./place.ts";
import { pointOf } from "./points.ts";
import type { Light, Modifier, Panel, Setup } from "./types.ts";

/** A reflector whose beam nobody measured: the middle of the standard 55…75° (common practice, no source). */
export const usualBeamDeg = 65;

/** Unit vector along which the front's axis points. A light aimed at its own middle looks at the nose, then level. */
export function axisOf(setup: Setup, light: Light): Vec3 {
  const { aim } = light;
  if (aim.kind === "pan-tilt") return directionOf(aim.panDeg, aim.tiltDeg);
  const from = positionOf(light.place, setup);
  const at: Vec3 = aim.kind === "xyz" ? [aim.xM, aim.yM, aim.zM] : pointOf(setup, aim.point).position;
  for (const goal of [at, noseOf(setup)]) {
    const axis = subtract(goal, from);
    if (length(axis) > 1e-6) return normalize(axis);
  }
  return [0, 0, -1];
}

/** The light's front as photometry takes it. A measured front needs a readable file, which parsing checks. */
export function frontOf(setup: Setup, light: Light): Front {
  const pose: Pose = {
    centre: positionOf(light.place, setup),
    normal: axisOf(setup, light),
    rollDeg: light.rollDeg,
  };
  return modifierFront(light.modifier, pose);
}

/** The front that a modifier makes in a pose. */
export function modifierFront(modifier: Modifier, pose: Pose): Front {
  const dressing = dressingOf(modifier);
  switch (modifier.shape) {
    case "rectangle":
      return rectangleFront(pose, modifier.widthM, modifier.heightM, dressing);
    case "octagon":
      return octagonFront(pose, modifier.widthM, "across-flats", dressing);
    case "disc":
      return discFront(pose, modifier.widthM, dressing);
    case "umbrella":
      return umbrellaFront(pose, modifier.widthM, dressing);
    case "bare":
      return bareFront(pose);
    case "lobe":
      return lobeFront(pose, modifier.beamDeg ?? usualBeamDeg, modifier.widthM, dressing);
    case "measured":
      return measuredFront(pose, fieldOf(modifier), modifier.widthM, modifier.heightM, dressing);
  }
}

function dressingOf(modifier: Modifier): Dressing {
  return {
    ...(modifier.lipM > 0 ? { lipM: modifier.lipM } : {}),
    ...(modifier.grid === null ? {} : { grid: modifier.grid }),
    ...(modifier.hotCentre === 0 ? {} : { hotCentre: modifier.hotCentre }),
  };
}

/** Files are read once: a front is asked for at every change, the text of its file never changes. */
const fields = new WeakMap<object, IntensityField>();

function fieldOf(modifier: Modifier): IntensityField {
  const file = modifier.photometricFile;
  if (file === null) throw new RangeError(`the measured front "${modifier.name}" has no photometric file`);
  const kept = fields.get(file);
  if (kept !== undefined) return kept;
  const field = intensityField(expectOk(parsePhotometricFile(file.text, file.name)));
  fields.set(file, field);
  return field;
}

/** Unit vector out of a panel's working face. */
export const panelNormal = (panel: Panel): Vec3 => directionOf(panel.facingDeg, panel.tiltDeg);

/** The panel's four corners, counter-clockwise seen from its working face: lower right first. */
export function panelOutline(setup: Setup, panel: Panel): readonly Vec3[] {
  const centre = positionOf(panel.place, setup);
  const normal = panelNormal(panel);
  // Its upright edge rises in the plane of facing; a panel that lies flat keeps its turn.
  const up = directionOf(panel.facingDeg, panel.tiltDeg + 90);
  const right = cross(up, normal);
  const corner = (x: number, y: number): Vec3 =>
    add(centre, addScaled(addScaled([0, 0, 0], right, (x * panel.widthM) / 2), up, (y * panel.heightM) / 2));
  return [corner(1, -1), corner(1, 1), corner(-1, 1), corner(-1, -1)];
}
