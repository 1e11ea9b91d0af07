/**
 * What things are made of. Skin by luminous reflectance with the colour that measured skin of that reflectance
 * has (`skin-table.ts`); hair by melanin: absorption per fibre radius = eumelanin · (0.419, 0.697, 1.37) +
 * pheomelanin · (0.187, 0.4, 1.05) for linear red, green, blue (d'Eon et al. 2011, "An energy-conserving hair
 * reflectance model", as used by Chiang et al. 2016, "A practical and controllable hair and fur model"; the same
 * coefficients stand in the source of pbrt's hair material).
 */

import { luminance } from "../colour/index.ts";
import type { HairClass } from "../setup/index.ts";
import { skinLines } from "./skin-table.ts";
import type { Material, Rgb, SkinClass } from "./types.ts";

type Hair = Extract<Material, { kind: "hair" }>;
type Skin = Extract<Material, { kind: "skin" }>;

/**
 * Luminous reflectance of facial skin by class: very light 0.35…0.45 to very dark 0.06…0.10 (domain 5.10, range
 * from memory), between them even steps in stops. Measured subjects lie between 0.13 and 0.46.
 */
export const skinLuminous: Readonly<Record<SkinClass, number>> = {
  "very-light": 0.42,
  light: 0.35,
  intermediate: 0.27,
  tan: 0.21,
  brown: 0.155,
  dark: 0.11,
  "very-dark": 0.075,
};

/** Linear Rec. 709 colour of skin that reflects `luminous` of the light; its luminance is exactly that. */
export function skinColour(luminous: number): Rgb {
  const log = Math.log(luminous);
  const [r, g, b] = skinLines.map(([a, slope]) => luminous * Math.exp(a + slope * log)) as [number, number, number];
  // The three lines leave a few thousandths; the class is named by its luminance.
  const k = luminous / luminance([r, g, b]);
  return [r * k, g * k, b * k];
}

export function skinMaterial(skin: SkinClass): Skin {
  const luminous = skinLuminous[skin];
  return {
    kind: "skin",
    name: `skin, ${skin}`,
    luminous,
    reflectance: skinColour(luminous),
    // The oily coat: usual values, from memory. Diffuse mean free paths of skin as measured by Jensen et al. 2001, "A
    // practical model for subsurface light transport" (their skin 1: 3.67, 1.37, 0.68 mm).
    roughness: 0.35,
    ior: 1.4,
    scatterM: [0.0037, 0.0014, 0.0007],
  };
}

/** A head's strands: as the class is, lighter ones, darker ones. */
type Tone = 0 | 1 | 2;

/**
 * Eumelanin of the strands of each class by tone. Black 8, brown 1.3 and blond "around 0.3" are the values that the
 * documentation of pbrt's hair material gives (also the manual page of the R package rayrender); dark brown is the
 * geometric mean of black and brown. A dense surface of strands at 0.3 reflects 0.06 here, which is dark blond: fair
 * hair is a mixture of it with lighter strands, by eye. Grey hair is white strands among some that kept their brown.
 * Pheomelanin, which makes red hair red, is 0 throughout.
 */
const eumelaninOf: Readonly<Record<HairClass, readonly [usual: number, lighter: number, darker: number]>> = {
  black: [8, 6, 8],
  dark: [3.2, 2.2, 4.4],
  mid: [1.3, 0.9, 1.8],
  fair: [0.15, 0.08, 0.3],
  grey: [0.02, 0.004, 0.4],
};

export const hairMaterial = (hair: HairClass, tone: Tone = 0): Hair =>
  strands(`hair, ${hair}${["", ", lighter strands", ", darker strands"][tone]}`, eumelaninOf[hair][tone]);

function strands(name: string, eumelanin: number): Hair {
  return {
    kind: "hair",
    name,
    eumelanin,
    pheomelanin: 0,
    absorption: hairAbsorption(eumelanin, 0),
    betaM: 0.3,
    betaN: 0.3,
    tiltDeg: 2,
    ior: 1.55,
  };
}

/** Eumelanin of brows and lashes: as the hair, but never as light as fair or grey hair (by eye). */
const browEumelanin: Readonly<Record<HairClass, number>> = { black: 8, dark: 3.2, mid: 1.3, fair: 0.5, grey: 0.3 };

/** Hair and brows by class, by the name that parts carry. */
export const hairMaterials: Readonly<Record<string, Material>> = Object.fromEntries(
  (Object.keys(eumelaninOf) as HairClass[]).flatMap((hair) => [
    ...([0, 1, 2] as const).map((tone) => [`hair:${hair}:${tone}`, hairMaterial(hair, tone)]),
    [`brow:${hair}`, strands(`brows, ${hair}`, browEumelanin[hair])],
  ]),
);

export function hairAbsorption(eumelanin: number, pheomelanin: number): Rgb {
  return [
    eumelanin * 0.419 + pheomelanin * 0.187,
    eumelanin * 0.697 + pheomelanin * 0.4,
    eumelanin * 1.37 + pheomelanin * 1.05,
  ];
}

export const grey = (reflectance: number): Rgb => [reflectance, reflectance, reflectance];

export const diffuse = (name: string, reflectance: Rgb): Material => ({ kind: "diffuse", name, reflectance });

const glossy = (name: string, reflectance: Rgb, roughness: number): Material => ({
  kind: "glossy",
  name,
  reflectance,
  roughness,
  ior: 1.5,
});

/** Materials that do not depend on the setup, by the name that parts carry. */
export const standardMaterials: Readonly<Record<string, Material>> = {
  "eye-white": {
    kind: "glossy",
    name: "white of the eye",
    reflectance: [0.52, 0.48, 0.45],
    roughness: 0.12,
    ior: 1.376,
  },
  iris: diffuse("iris", [1, 1, 1]),
  cornea: { kind: "glass", name: "cornea", ior: 1.376, tint: [1, 1, 1], thin: true },
  lens: { kind: "glass", name: "spectacle lens", ior: 1.5, tint: [0.99, 0.99, 0.99], thin: true },
  frame: glossy("spectacle frame", grey(0.04), 0.15),
  trousers: diffuse("trousers", [0.035, 0.038, 0.05]),
  stool: diffuse("stool", grey(0.08)),
  furniture: diffuse("furniture", [0.24, 0.17, 0.11]),
  table: diffuse("table", [0.4, 0.32, 0.24]),
  shell: diffuse("black cloth of a shell", grey(0.03)),
  lip: diffuse("black cloth of a lip", grey(0.03)),
  stand: glossy("black lacquer", grey(0.04), 0.3),
  weight: glossy("iron", grey(0.1), 0.4),
  stoneware: glossy("glazed stoneware", [0.34, 0.24, 0.16], 0.18),
  paint: diffuse("matt paint", [0.5, 0.5, 0.5]),
  card: diffuse("carton", [0.55, 0.42, 0.28]),
  bottle: glossy("dark glass bottle", [0.012, 0.03, 0.014], 0.03),
};
