import assert from "node:assert/strict";
import { test } from "node:test";
import { degrees, ev, fNumber, iso, lux, luxSeconds, seconds, stops } from "../units/index.ts";
import * as x from "./index.ts";
import { near } from "./kit.test.ts";

const disc = x.USUAL_DISC;
const dome = x.USUAL_DOME;

test("[P1] [CV10] (S) f/8 at ISO 100 with C 250 is 160 lx·s (ISO 2720:1974)", () => {
  near(x.flashExposure(x.avOf(fNumber(8)), iso(100), disc), 160, 1e-6);
});

test("[P1] [CV11] (S) f/8 at ISO 100 with C 340 is 217.6 lx·s (ISO 2720:1974)", () => {
  near(x.flashExposure(ev(6), iso(100), dome), 217.6, 1e-6);
});

test("[P1] [CV12] (S) 1000 lx over 0.02 s at ISO 100 with C 250 reads f/2.83", () => {
  near(x.apertureOf(x.continuousReading(lux(1000), seconds(0.02), iso(100), disc)), 2.82843, 1e-4);
});

test("[P1] [CV13] (S) EV100 of 1000 lx is 8.644 flat and 8.200 dome (Lagarde & de Rousiers 2014)", () => {
  near(x.ev100OfLux(lux(1000), disc), 8.6439, 5e-4);
  near(x.ev100OfLux(lux(1000), dome), 8.2002, 5e-4);
  near(x.luxOfEv100(x.ev100OfLux(lux(777), dome), dome), 777, 1e-9);
});

test("[P1] [CV14] (M) a footcandle is 10.76391 lx", () => {
  near(x.LUX_PER_FOOTCANDLE, 10.76391, 1e-5);
  near(x.luxOfFootcandles(x.footcandlesOf(lux(250))), 250, 1e-9);
});

test("[P2] [CV15] (D) the dome reads 0.4436 stop under the disc on axis with C 340 and 250", () => {
  near(x.constantDifference(dome, disc), 0.4436, 5e-4);
  const light = luxSeconds(333);
  near(x.flashReading(light, iso(100), disc) - x.flashReading(light, iso(100), dome), 0.4436, 5e-4);
});

test("[P1] [CV16] (D) 500 lx at 1/64 s adds 0.06878 stop to 160 lx·s of flash", () => {
  const both = x.flashWithAmbient(luxSeconds(160), 500, seconds(1 / 64));
  near(both.addedStops, 0.06878, 1e-4);
  near(both.total, 167.8125, 1e-9);
  near(both.flashShare, 160 / 167.8125, 1e-12);
});

test("[P1] [CV17] (S) incident and reflected agree at πK/C", () => {
  near(x.agreeingReflectance(12.5, 250), 0.15708, 1e-4);
  near(x.agreeingReflectance(12.5, 340), 0.1155, 1e-4);
  near(x.agreeingReflectance(14, 250), 0.17593, 1e-4);
});

test("[P1] [CV18] (D) white lies 0.593 stop below saturation with C 250 and 0.149 with C 340", () => {
  near(x.headroomOfWhite(250), 0.5926, 5e-4);
  near(x.headroomOfWhite(340), 0.149, 5e-4);
});

test("[P1] [CV19] (M) mid exposure over saturation is 10/78 (ISO 12232)", () => {
  near(x.MID_OVER_SATURATION, 0.128205, 1e-6);
});

test("[P1] [CV20] (S) 1/50 s at 24 frames is 172.8°, and mains times are n/(2f)", () => {
  near(x.angleOfTime(seconds(1 / 50), 24), 172.8, 1e-9);
  near(x.angleOfTime(seconds(1 / 60), 25), 150, 1e-9);
  near(x.angleOfTime(seconds(1 / 60), 24), 144, 1e-9);
  near(x.timeOfAngle(degrees(180), 24), 1 / 48, 1e-12);
  assert.deepEqual(
    x.flickerFreeTimes(50, 24).map((t) => Math.round(1000 * t)),
    [10, 20, 30, 40],
  );
  near(x.rippleBound(x.timeForRipple(1000), 1000), 0.05, 1e-12);
});

test("[P1] [CV21] (D) N² = 8, ISO 800, 1/48 s, C 250 is 120 lx or 11.148 fc", () => {
  const e = x.illuminanceOf(x.avOf(fNumber(Math.sqrt(8))), seconds(1 / 48), iso(800), disc);
  near(e, 120, 1e-3);
  near(x.footcandlesOf(e), 11.1484, 1e-3);
});

test("[P5] [CV22] (D) 500 W·s at 35 lm·s per W·s are 17 500 lm·s, bare 1392.6 cd·s", () => {
  const q = x.lightQuantity(500, 35);
  near(q, 17500, 1e-3);
  near(x.bareIntensity(q), 1392.606, 1e-3);
  near(x.lambertianIntensity(q, 0.4) / 4, 557.04, 0.005);
});

test("[P5] [CV23] (D) 2000 cd·s has guide number 28.28 m or 92.80 ft at ISO 100, C 250", () => {
  near(x.guideNumberMetres(2000, 100, 250), 28.2843, 1e-3);
  near(x.guideNumberFeet(2000, 100, 250), 92.7962, 1e-3);
});

test("[P5] [CV24] (D) the printed rule 0.063 in feet stands for C 170.856", () => {
  near(x.constantOfFeetRule(0.063), 170.856, 1e-3);
});

test("[P5] [CV25] (D) 3 pops gain 1.585 stops, 6 pops 2.585", () => {
  near(x.popsGain(3), 1.58496, 1e-4);
  near(x.popsGain(6), 2.58496, 1e-4);
  assert.deepEqual(
    [0, 1, 1.5, 2, 2.5].map((s) => x.popsFor(stops(s))),
    [1, 2, 3, 4, 6],
  );
});

test("[P5] [CV26] (D) t0.1 is 3.32193 times t0.5 for an exponential pulse", () => {
  near(x.T01_OVER_T05, 3.32193, 1e-4);
});

test("[P5] [CV27] (D) 1/200 s passes 0.82217 of a pulse with t0.1 = 1/150 s, −0.28249 stop", () => {
  near(x.passedByShutter(seconds(1 / 200), seconds(1 / 150)), 0.82217, 1e-4);
  near(x.shutterLoss(seconds(1 / 200), seconds(1 / 150)), -0.28249, 1e-4);
});

test("[P5] [CV28] (D) 5 m/s blurs 6.25 mm over 1/800 s", () => {
  near(x.blurLength(5, seconds(1 / 800)) * 1000, 6.25, 1e-9);
});

test("[P5] the sync limit parts flash from a pulse train", () => {
  assert.equal(x.syncNote(seconds(1 / 128), seconds(1 / 200)).regime, "flash");
  assert.equal(x.syncNote(seconds(1 / 200), seconds(1 / 200)).regime, "flash");
  assert.equal(x.syncNote(seconds(1 / 512), seconds(1 / 200)).regime, "pulse-train");
  near(x.storedEnergy(2000e-6, 400), 160, 1e-9);
});

test("[P1] [CV63] (D) a backdrop is lit by log2(tone/ρ) over the working aperture", () => {
  near(x.litForTone(1, 0.87), 0.2009, 5e-4);
  near(x.litForTone(0.18, 0.045), 2, 5e-4);
  near(x.litForTone(0.01, 0.87), -6.4429, 5e-4);
});

test("[P5] [CV84] [CV85] (D) density 0.9 takes 2.98974 stops; a third of a stop is density 0.100343", () => {
  near(x.stopsOfDensity(0.9), 2.98974, 1e-4);
  near(x.densityOfStops(stops(1 / 3)), 0.100343, 1e-6);
  near(x.transmittanceOfDensity(0.3), 2 ** -x.stopsOfDensity(0.3), 1e-12);
});

test("[P2] a meter's offset is added to what it shows, both ways, and cancels", () => {
  const odd = { ...disc, offsetStops: 0.2 };
  const shown = x.flashReading(luxSeconds(160), iso(100), odd);
  near(shown, 5.8, 1e-12);
  near(x.flashExposure(shown, iso(100), odd), 160, 1e-9);
});

test("[P1] APEX is additive: f/8, 1/128 s, ISO 100 have Ev 13, Sv 5, Bv 8 (ASA PH2.5-1960)", () => {
  const a = x.apex(fNumber(8), seconds(1 / 128), iso(100));
  assert.deepEqual([a.av, a.tv, a.sv, a.ev, a.bv], [6, 7, 5, 13, 8]);
  near(x.ev100OfSetting(fNumber(8), seconds(1 / 128), iso(400)), 11, 1e-12);
  near(x.luminanceOf(fNumber(8), seconds(1 / 128), iso(100)), (12.5 * 64 * 128) / 100, 1e-9);
});
