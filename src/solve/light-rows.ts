/**
 * The rows of a ledger that belong to a light wherever the meter stands: stored energy, dial, pops,
 * modifier, colour, shutter, calibration; and the receptor's row. Level of the first row: a bare tube all
 * round at 1 m, I = Q/4π with Q = W·η (lm·s) or flux times the shutter, read by a disc of C 250 at the
 * working ISO: Av = log2(I·S/250). Error bars (1σ): catalogue output and modifier ±0.3 stop until metered
 * (trade spread, common practice, no source), learned ones 0.1/√n but not under 0.05; a dial position 0.05.
 */

import type { Front } from "../photometry/index.ts";
import type { Light, Meter, Modifier, ReceptorKind, Setup } from "../setup/index.ts";
import { printDial, stops } from "../units/index.ts";
import { tailCutStops } from "./camera.ts";
import type { RowSeed } from "./ledger.ts";
import { outputOfDial } from "./turn.ts";
import type { LedgerInput } from "./types.ts";

/** The disc constant that levels are counted from, lx·s. */
export const LEVEL_C = 250;

/** Meter resolution of a tenth (0.1/√12) and flash repeatability 0.03, stops: what a reading alone cannot beat. */
export const READING_SIGMA_STOPS: number = Math.hypot(0.1 / Math.sqrt(12), 0.03);

const CATALOGUE_SIGMA = 0.3;
const DIAL_SIGMA = 0.05;

/** 1σ of a quantity learned from n readings. */
export const learnedSigma = (readings: number): number => Math.max(0.05, 0.1 / Math.sqrt(readings));

/** Rows before the geometry and after it. */
export interface LightRows {
  readonly before: readonly RowSeed[];
  readonly shutter: readonly RowSeed[];
  readonly calibration: readonly RowSeed[];
}

/** Rows of one light. `front` gives the beam's gain on axis. */
export function lightRows(setup: Setup, light: Light, front: Front, axialIntensity: number): LightRows {
  const calibrated = light.calibrationStops !== null;
  const before = [energyRow(setup, light, front), dialRow(light)];
  // A lamp burns through the whole exposure, however often the flashes pop.
  if (light.pops !== 1 && light.head.kind === "flash") before.push(popsRow(light));
  before.push(modifierRow(light, axialIntensity));
  if (light.gels.length > 0 || light.ndStops !== 0) before.push(gelRow(light));
  // A reading of this very light replaces what the catalogue said about it, its dial included while it stands there.
  const readAt = setup.readings.find(({ id }) => id === light.calibratedFrom)?.dialStops;
  const unsure = (row: RowSeed): boolean => row.row === "dial" && readAt !== light.dialStops;
  const trusted = calibrated ? before.map((row) => (unsure(row) ? row : { ...row, sigmaStops: 0 })) : before;
  const cut = light.head.kind === "flash" ? tailCutStops(light.head, light.dialStops, setup.exposure.shutterS) : null;
  return {
    before: trusted,
    shutter: cut !== null && cut < -0.005 ? [shutterRow(light, cut, setup.exposure.shutterMark)] : [],
    calibration: calibrated ? [calibrationRow(light)] : [],
  };
}

/** Light quantity at full, lm·s: W·η of a flash, flux times the shutter of a lamp, or a measured file's own flux. */
export function fullQuantity(setup: Setup, light: Light, front: Front): number {
  const { head, modifier } = light;
  const time = head.kind === "continuous" ? setup.exposure.shutterS : 1;
  if (isAbsolute(modifier) && front.web) return front.web.fluxLm * time;
  const input = head.kind === "flash" ? (head.energyWs ?? 0) : (head.powerW ?? 0);
  return input * head.efficacy * time;
}

const isAbsolute = (modifier: Modifier): boolean =>
  modifier.shape === "measured" && modifier.photometricFile?.absolute === true;

function energyRow(setup: Setup, light: Light, front: Front): RowSeed {
  const { head, modifier } = light;
  const { iso, shutterS, shutterMark } = setup.exposure;
  const flash = head.kind === "flash";
  const quantity = fullQuantity(setup, light, front);
  const learned = head.learnedReadings > 0;
  const what = isAbsolute(modifier)
    ? `${modifier.photometricFile?.name}: its own flux`
    : flash
      ? `${head.energyWs ?? 0} Ws`
      : `${head.powerW ?? 0} W over ${shutterMark} s`;
  const inputs: LedgerInput[] = [
    flash
      ? quantityInput("stored energy W", head.energyWs, "W·s", 0)
      : quantityInput("electrical power", head.powerW, "W", 0),
    quantityInput("efficacy η", head.efficacy, flash ? "lm·s per W·s" : "lm/W", 1),
    ...(flash ? [] : [quantityInput("shutter t", shutterS, "s", 4)]),
    quantityInput("light quantity Q", quantity, "lm·s", 0),
    quantityInput("ISO S", iso, "", 0),
    ...(learned ? [quantityInput("learned", head.learnedStops, "stop", 2)] : []),
  ];
  return {
    row: "energy",
    name: flash ? "Stored energy" : "Luminous flux",
    detail: `${what}, bare, all round, at 1 m`,
    stops: Math.log2(((quantity / (4 * Math.PI)) * iso) / LEVEL_C) + head.learnedStops,
    restsOn: learned ? "learned" : "catalogue",
    sigmaStops: learned ? learnedSigma(head.learnedReadings) : CATALOGUE_SIGMA,
    cause: `head:${head.id}`,
    inputs,
    formula: `Av = log2(Q/4π · S/250)${learned ? " + learned" : ""}, Q = ${flash ? "W · η" : "P · η · t"}`,
    source: "exposure equation N² = H·S/C, ISO 2720:1974; efficacy: the maker's or the trade's word",
  };
}

function dialRow(light: Light): RowSeed {
  const { head, dialStops } = light;
  const gives = outputOfDial(head, dialStops);
  const tabled = head.dialTable.length > 0;
  return {
    row: "dial",
    name: "Dial",
    detail: `${printDial(stops(dialStops), head.dial)}: ${belowWords(gives)}`,
    stops: gives,
    restsOn: tabled ? "learned" : "catalogue",
    sigmaStops: dialStops === 0 ? 0 : tabled ? 0.03 : DIAL_SIGMA,
    cause: `dial:${head.id}`,
    inputs: [
      quantityInput("dial below full", dialStops, "stop", 2),
      ...(tabled ? [quantityInput("measured table gives", gives, "stop", 2)] : []),
    ],
    formula: tabled ? "stops = measured table at the dial" : "stops = dial relative to full",
    source: tabled ? "your readings of this head" : "common practice, no source",
  };
}

function popsRow(light: Light): RowSeed {
  return {
    row: "pops",
    name: "Pops",
    detail: `${light.pops} pops with the shutter open in the dark`,
    stops: Math.log2(light.pops),
    restsOn: "geometry",
    sigmaStops: 0,
    cause: `pops:${light.id}`,
    inputs: [quantityInput("pops n", light.pops, "", 0)],
    formula: "stops = log2 n",
    source: "light adds; the subject must not move",
  };
}

function modifierRow(light: Light, axialIntensity: number): RowSeed {
  const { modifier } = light;
  const beam = Math.log2(axialIntensity * 4 * Math.PI);
  const passed = isAbsolute(modifier) ? 1 : modifier.transmission;
  const cloth = Math.log2(passed);
  const learned = modifier.learnedReadings > 0;
  const measured = isAbsolute(modifier);
  const layers = modifier.layers.length;
  const lost = layers > 0 ? `${layers} ${layers === 1 ? "layer" : "layers"} of cloth` : "lost inside";
  const pieces = [
    ...(Math.abs(beam) > 0.005 ? [`sends it one way ${signed(beam)}`] : []),
    ...(passed < 1 ? [`${lost} ${signed(cloth)}`] : []),
    ...(Math.abs(modifier.learnedStops) > 0.005 ? [`learned ${signed(modifier.learnedStops)}`] : []),
  ];
  return {
    row: "modifier",
    name: "Modifier",
    detail: pieces.length > 0 ? `${modifier.name}: ${pieces.join(", ")}` : modifier.name,
    stops: beam + cloth + modifier.learnedStops,
    restsOn: learned ? "learned" : measured ? "metered" : "catalogue",
    sigmaStops: learned ? learnedSigma(modifier.learnedReadings) : measured || passed === 1 ? 0.1 : CATALOGUE_SIGMA,
    cause: `modifier:${modifier.id}`,
    inputs: [
      quantityInput("on axis against all round", axialIntensity * 4 * Math.PI, "×", 3),
      quantityInput("transmission T", passed, "", 3),
      ...(learned ? [quantityInput("learned", modifier.learnedStops, "stop", 2)] : []),
    ],
    formula: `stops = log2(4π · I(0)/Φ) + log2 T${learned ? " + learned" : ""}; I(0)/Φ = 1/π for a diffuse front`,
    source: measured ? "the measured file" : "Lambert's law; transmission: common practice, no source",
  };
}

function gelRow(light: Light): RowSeed {
  const gelStops = light.gels.reduce((sum, gel) => sum + gel.lossStops, 0);
  const names = [...light.gels.map((gel) => gel.name), ...(light.ndStops !== 0 ? ["neutral density"] : [])];
  return {
    row: "gels",
    name: "Gels",
    detail: names.join(", "),
    stops: -gelStops - light.ndStops,
    restsOn: "catalogue",
    sigmaStops: Math.hypot(light.gels.length > 0 ? 0.1 : 0, light.ndStops !== 0 ? 0.03 : 0),
    cause: `gels:${light.id}`,
    inputs: [
      ...light.gels.map((gel) => quantityInput(gel.name, -gel.lossStops, "stop", 2)),
      ...(light.ndStops !== 0 ? [quantityInput("neutral density", -light.ndStops, "stop", 3)] : []),
    ],
    formula: "stops = −Σ loss",
    source: "the swatch's transmittance; neutral density: log2(10) stops per unit of density",
  };
}

function shutterRow(light: Light, cut: number, mark: string): RowSeed {
  const t01 = light.head.t01S ?? ((light.head.t05S ?? 0) * Math.LN10) / Math.LN2;
  return {
    row: "shutter",
    name: "Shutter",
    detail: `${mark} s cuts the tail of the flash`,
    stops: cut,
    restsOn: "catalogue",
    sigmaStops: Math.min(0.3, Math.abs(cut) / 2),
    cause: `shutter:${light.head.id}`,
    inputs: [quantityInput("t0.1 at full", t01, "s", 5)],
    formula: "stops = log2(1 − 10^(−t/t0.1))",
    source: "exponential pulse",
  };
}

function calibrationRow(light: Light): RowSeed {
  const stopsLearned = light.calibrationStops ?? 0;
  return {
    row: "calibration",
    name: "Calibration",
    detail: "one reading of this light here",
    stops: stopsLearned,
    restsOn: "metered",
    sigmaStops: READING_SIGMA_STOPS,
    cause: `head:${light.head.id}:${light.id}`,
    inputs: [quantityInput("metered against predicted", stopsLearned, "stop", 2)],
    formula: "stops = metered − predicted",
    source: "your reading",
  };
}

/** The receptor's row: its constant against 250. Readings are believed after the meter's offset is added to them. */
export function receptorRow(meter: Meter, kind: ReceptorKind): RowSeed {
  const c = kind === "disc" ? meter.discC : meter.domeC;
  const offset = meter.offsetStops === 0 ? "" : `; ${signed(meter.offsetStops)} is added to what it shows`;
  return {
    row: "receptor",
    name: "Receptor",
    detail: `${kind}, C ${c} against disc, C ${LEVEL_C}${offset}`,
    stops: Math.log2(LEVEL_C / c),
    restsOn: kind === "dome" && !meter.receptorsCompared ? "assumed" : "meter",
    sigmaStops: kind === "dome" && !meter.receptorsCompared ? 0.1 : 0.02,
    cause: "meter",
    inputs: [
      quantityInput("C", c, "lx·s", 0),
      ...(meter.offsetStops === 0 ? [] : [quantityInput("meter's offset", meter.offsetStops, "stop", 2)]),
    ],
    formula: "stops = log2(250/C)",
    source: "constants of incident meters, ISO 2720:1974",
  };
}

/** An input with its value as a person reads it. */
export function quantityInput(name: string, value: number | null, unit: string, digits: number): LedgerInput {
  const text = value === null ? "unknown" : `${Number(value.toFixed(digits))}${unit === "" ? "" : ` ${unit}`}`;
  return { name, text, value, unit };
}

/** "+2.00", "−1.37". */
export const signed = (value: number): string => `${value < 0 ? "−" : "+"}${Math.abs(value).toFixed(2)}`;

const belowWords = (output: number): string =>
  output === 0 ? "full" : `${Math.abs(output).toFixed(1)} stops below full`;
