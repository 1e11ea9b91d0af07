/**
 * The whole answer for a setup: every light, every together reading, ratios in both conventions, the room,
 * spill, the face, the lens, evenness, drift. Nothing here computes light; it asks the parts and joins them.
 */

import { type Id, mainOf, type PointName, pointNames, type Setup } from "../setup/index.ts";
import { cameraReport } from "./camera.ts";
import { driftOf } from "./drift.ts";
import { evennessOf } from "./evenness.ts";
import { flareOf } from "./flare.ts";
import { glareReports } from "./glare.ts";
import { addedAv } from "./ledger.ts";
import { type LeanMemory, type OwnReport, ownReport } from "./light-report.ts";
import { READING_SIGMA_STOPS } from "./light-rows.ts";
import { catchlightOf, mainPattern } from "./portrait.ts";
import { ALL_WAYS, aloneAt, ambientParts, believedAv, type Engine, lightParts, litLights, SHADED } from "./predict.ts";
import { ratioReport } from "./ratios.ts";
import { bareOf, roomReport, type TargetChanges, targetChanges } from "./room.ts";
import { type Lit, type Scene, spotOf, usualPlace } from "./scene.ts";
import { spillReports, togetherReports } from "./together.ts";
import type { Flare, LightReport, RatioReport, SetupReport, TogetherReport } from "./types.ts";
import { waysOut } from "./ways-out.ts";

/** The report of a setup. */
export function makeReport(engine: Engine, leans: LeanMemory, setup: Setup): SetupReport {
  const scene = engine.sceneOf(setup);
  const lits = [...scene.lights.values()];
  const own = lits.map((lit) => ownReport(engine, leans, setup, lit));
  const together = togetherReports(engine, setup);
  const main = mainOf(setup);
  const changes = targetChanges(engine, setup);
  const mainLit = main && scene.lights.get(main.id);
  return {
    lights: own.map((report, i) => ({
      ...report,
      waysOut: waysOut(engine, setup, lits[i] as Lit, report),
      ...underMain(
        report,
        own.find(({ lightId }) => lightId === main?.id),
      ),
    })),
    together,
    ratios: ratiosOf(engine, setup, own, together, changes),
    room: roomReport(engine, setup, bareOf(setup), changes),
    spill: spillReports(setup, pointNames(setup), (lightId, point) => atPoint(engine, scene, lightId, point)),
    pattern: mainPattern(setup, main, mainLit?.front),
    catchlights:
      setup.subject.kind === "person" ? lits.flatMap((lit) => catchlightOf(setup, lit.light, lit.front) ?? []) : [],
    glare: glareReports(setup, lits),
    flare: lits.map((lit) => flareAt(engine, scene, lit, together)),
    camera: cameraReport(setup),
    evenness: evennessOf(engine, setup, together),
    drift: driftOf(setup),
    hair: setup.subject.hair,
  };
}

function underMain(
  report: OwnReport,
  main: OwnReport | undefined,
): Pick<LightReport, "underMainStops" | "underMainMeteredStops"> {
  const between = (a: number | null | undefined, b: number | null): number | null =>
    a === null || a === undefined || b === null ? null : a - b;
  return {
    underMainStops: between(main?.predicted.av, report.predicted.av),
    underMainMeteredStops: between(main?.readingAv, report.readingAv),
  };
}

/** A light alone at a named point with the meter held as usual there. */
function atPoint(engine: Engine, scene: Scene, lightId: Id, point: PointName): ReturnType<typeof aloneAt> {
  const lit = scene.lights.get(lightId) as Lit;
  return aloneAt(engine, scene, lit, spotOf(scene, usualPlace(point), lit, engine.scenes), NO_AMBIENT);
}

const NO_AMBIENT = { ...ALL_WAYS, ambient: false };
const STRAIGHT = { direct: true, panels: false, room: false, ambient: false };

/** Main to fill and lit to shadow, each naming its places. */
function ratiosOf(
  engine: Engine,
  setup: Setup,
  own: readonly OwnReport[],
  together: readonly TogetherReport[],
  changes: TargetChanges,
): readonly RatioReport[] {
  const found: RatioReport[] = [];
  const main = own.find(({ role }) => role === "main");
  const fill = own.find(({ role }) => role === "fill");
  if (main && fill) found.push(lightToLight(main, fill));
  const [lit, shadow] = ["lit-cheek", "shadow-cheek"].map((id) => together.find((report) => report.id === id));
  if (lit && shadow) found.push(litToShadow(engine, setup, lit, shadow, changes));
  return found;
}

function lightToLight(main: OwnReport, fill: OwnReport): RatioReport {
  const between = (a: number | null, b: number | null): number | null => (a === null || b === null ? null : a - b);
  return ratioReport({
    name: `main to fill, light to light, each alone, ${placeWords(main)}`,
    convention: "light-to-light",
    stops: between(main.predicted.av, fill.predicted.av),
    sigmaStops: Math.hypot(main.predicted.sigmaStops, fill.predicted.sigmaStops),
    meteredStops: between(main.readingAv, fill.readingAv),
    meteredSigmaStops: Math.SQRT2 * READING_SIGMA_STOPS,
    atTargetStops: main.targetAv - fill.targetAv,
    atTargetSigmaStops: 0,
  });
}

const placeWords = (main: OwnReport): string =>
  main.reading === null || main.reading.place.receptor === "dome" ? "dome at the light" : "disc at the light";

function litToShadow(
  engine: Engine,
  setup: Setup,
  lit: TogetherReport,
  shadow: TogetherReport,
  changes: TargetChanges,
): RatioReport {
  const tags = setup.lights.filter(({ id }) => shadow.shaded.includes(id)).map(({ tag }) => tag);
  const shaded = tags.length > 0 ? `; shadow: ${tags.join(" and ")} shaded` : "";
  const metered =
    lit.reading && shadow.reading ? believedAv(setup, lit.reading) - believedAv(setup, shadow.reading) : null;
  const [litAv, shadowAv] = [lit.predicted.av, shadow.predicted.av];
  const target = [lit, shadow].map((report) => atTargets(engine, setup, report, changes));
  const [litTarget, shadowTarget] = [target[0] ?? null, target[1] ?? null];
  return ratioReport({
    name: `lit cheek to shadow cheek, dome to camera, all on${shaded}`,
    convention: "lit-to-shadow",
    stops: litAv === null || shadowAv === null ? null : litAv - shadowAv,
    sigmaStops: Math.hypot(lit.predicted.sigmaStops, shadow.predicted.sigmaStops),
    meteredStops: metered,
    meteredSigmaStops: Math.SQRT2 * READING_SIGMA_STOPS,
    atTargetStops: litTarget === null || shadowTarget === null ? null : litTarget - shadowTarget,
    atTargetSigmaStops: AT_TARGET_SIGMA_STOPS,
  });
}

/** With every light at its target only geometry and the room's part of the shadow stay unsure. */
const AT_TARGET_SIGMA_STOPS = 0.12;

/** A together reading with every light turned to its target exactly; ambient light stays as it is. */
function atTargets(
  engine: Engine,
  setup: Setup,
  { place, shaded }: TogetherReport,
  changes: TargetChanges,
): number | null {
  const scene = engine.sceneOf(setup);
  const spot = spotOf(scene, place, null, engine.scenes);
  const parts = litLights(scene, null).map((lit) => {
    const ways = shaded.includes(lit.light.id) ? SHADED : NO_AMBIENT;
    const av = addedAv(lightParts(engine, scene, lit, spot, ways));
    const change = changes.get(lit.light.id) ?? null;
    return { av: av === null || change === null ? null : av + change };
  });
  return addedAv([...parts, ...ambientParts(scene, spot)]);
}

/** What reaches the lens straight, with and without what stands in between, against the lit face. */
function flareAt(engine: Engine, scene: Scene, lit: Lit, together: readonly TogetherReport[]): Flare {
  const spot = spotOf(scene, usualPlace("lens"), lit, engine.scenes);
  const straight = aloneAt(engine, scene, lit, spot, STRAIGHT);
  const chain = straight.ledger.kind === "sum" ? straight.ledger.parts[0] : undefined;
  const blockedByShade =
    chain?.kind === "chain" && chain.rows[chain.rows.length - 1]?.row === "shading" && chain.av === null;
  return flareOf(scene.setup, lit.light, lit.front, {
    av: straight.av,
    openAv: blockedByShade ? 0 : straight.av,
    faceAv: together[0]?.predicted.av ?? null,
  });
}
