/**
 * Together readings, each predicted for the very reading that will be taken: same point, receptor, aim and
 * shading. Lit cheek: dome to the camera, nothing shaded. Shadow cheek: dome to the camera, the main and the
 * lights from behind on that side shaded. Backdrop: disc flat on it; tone Y = ρ·H/H_ref with H_ref of the
 * working aperture and the same receptor. Lit to shadow names its two places: 2ⁿ + 1 holds only where the
 * main is fully blocked and nothing else reaches the shadow.
 */

import { type Id, litCheek, type MeterPlace, type PointName, type Setup, shadowCheek } from "../setup/index.ts";
import { type Engine, predictTogetherAt } from "./predict.ts";
import { togetherReading } from "./room-reading.ts";
import type { Predicted, SpillReport, TogetherReport } from "./types.ts";

/** Tone of a surface, 0…1 (1 clips), from its reading with a disc flat on it: ρ·2^(Av − working Av). */
export const toneOf = (reflectance: number, av: number, workingAv: number): number =>
  reflectance * 2 ** (av - workingAv);

/** Stops that a backdrop must read above the working aperture for a tone: log2(Y/ρ). */
export const offsetForTone = (tone: number, reflectance: number): number => Math.log2(tone / reflectance);

/** Lights that a hand shades when the shadow side is read: the main, and the edge lights that would rake it. */
export function shadedAtShadow(setup: Setup): readonly Id[] {
  return setup.lights.filter(({ on, role }) => on && (role === "main" || role === "edge")).map(({ id }) => id);
}

/** The question behind each together reading of a setup, in the order they are taken. */
export interface TogetherPlan {
  readonly id: string;
  readonly name: string;
  readonly place: MeterPlace;
  readonly shaded: readonly Id[];
}

export function togetherPlans(setup: Setup): readonly TogetherPlan[] {
  const plans: TogetherPlan[] = [];
  if (setup.subject.kind === "person") {
    const lit = litCheek(setup);
    const shadow = shadowCheek(setup);
    plans.push(
      { id: "lit-cheek", name: `lit ${cheekWords(lit)}`, place: domeToCamera(lit), shaded: [] },
      {
        id: "shadow-cheek",
        name: `shadow ${cheekWords(shadow)}`,
        place: domeToCamera(shadow),
        shaded: shadedAtShadow(setup),
      },
    );
  } else {
    plans.push({ id: "subject", name: "the object's reference point", place: domeToCamera("nose"), shaded: [] });
  }
  if (setup.backdrop === null) return plans;
  for (const [point, name] of BACKDROP) plans.push({ id: point, name, place: flatOn(point), shaded: [] });
  return plans;
}

const BACKDROP: readonly (readonly [PointName, string])[] = [
  ["backdrop-centre", "backdrop centre"],
  ["backdrop-upper-left", "backdrop, upper left"],
  ["backdrop-upper-right", "backdrop, upper right"],
  ["backdrop-lower-left", "backdrop, lower left"],
  ["backdrop-lower-right", "backdrop, lower right"],
];

/** All together readings with what they should say and what they said. */
export function togetherReports(engine: Engine, setup: Setup): readonly TogetherReport[] {
  return togetherPlans(setup).map((plan) => {
    const predicted = predictTogetherAt(engine, setup, { place: plan.place, lightsOn: null, shaded: plan.shaded });
    return {
      ...plan,
      predicted,
      tone: toneAt(setup, plan.place, predicted),
      reading: togetherReading(setup, "together", plan),
    };
  });
}

function toneAt(setup: Setup, place: MeterPlace, predicted: Predicted): number | null {
  const { backdrop, exposure } = setup;
  if (backdrop === null || !place.point.startsWith("backdrop-")) return null;
  return predicted.av === null ? 0 : toneOf(backdrop.reflectance, predicted.av, exposure.apertureAv);
}

/** Each light alone on each named point, the meter held there as it usually is. */
export function spillReports(
  setup: Setup,
  points: readonly PointName[],
  alone: (lightId: Id, point: PointName) => Predicted,
): readonly SpillReport[] {
  return setup.lights.flatMap((light) =>
    points.map((point) => {
      const { av } = alone(light.id, point);
      return {
        lightId: light.id,
        point,
        av,
        underWorkingStops: av === null ? null : setup.exposure.apertureAv - av,
      };
    }),
  );
}

const domeToCamera = (point: PointName): MeterPlace => ({ point, receptor: "dome", aim: "camera" });
const flatOn = (point: PointName): MeterPlace => ({ point, receptor: "disc", aim: "normal" });

const cheekWords = (point: "cheek-left" | "cheek-right"): string =>
  point === "cheek-left" ? "cheek, camera left (sitter's right)" : "cheek, camera right (sitter's left)";
