import assert from "node:assert/strict";
import { test } from "node:test";
import { parseAzimuth, parseClock, parseDegrees, parseElevation } from "./angle.ts";
import type { DialScale } from "./dial.ts";
import { parseDial } from "./dial-notation.ts";
import { parseIlluminance } from "./illuminance.ts";
import { parseIso } from "./iso.ts";
import { parseLength } from "./length.ts";
import { parseReading } from "./reading.ts";
import type { Result } from "./result.ts";
import { parseShutter } from "./shutter.ts";
import { parseStops } from "./stops.ts";
import { parseMiredShift, parseTemperature } from "./temperature.ts";

const FRACTION: DialScale = { kind: "fraction", lowestStops: -8, stepStops: 0.1 };
const THIRDS: DialScale = { kind: "fraction", lowestStops: -7, stepStops: 1 / 3 };
const BELOW: DialScale = { kind: "below-full", lowestStops: -5, stepStops: 0.1 };
const NUMBER: DialScale = { kind: "number", top: 10, lowestStops: -8, stepStops: 0.1 };
const WS: DialScale = { kind: "watt-seconds", fullWs: 400, lowestStops: -5, stepStops: 0.1 };
const PERCENT: DialScale = { kind: "percent", lowestPercent: 10, stepPercent: 1 };
const LONG = "5".repeat(81);

type Parse = (text: string, where: string) => Result<unknown>;

/** Each parser, and each text with the one fault that it must raise. */
const CASES: readonly (readonly [string, Parse, readonly (readonly [string, string])[]])[] = [
  [
    "reading",
    (text, where) => parseReading(text, { where }),
    [
      ["", "reading-empty"],
      ["   ", "reading-empty"],
      [LONG, "reading-too-long"],
      ["bright", "reading-form"],
      ["f/", "reading-form"],
      ["f", "reading-form"],
      ["-5.6", "reading-form"],
      ["+5.6", "reading-form"],
      ["5.6-0.3", "reading-form"],
      ["5.6^", "reading-form"],
      ["5.6+", "reading-form"],
      ["5.6+7", "reading-form"],
      ["5.6^7^1", "reading-form"],
      ["5.6⁷¹", "reading-form"],
      ["5.6^-1", "reading-form"],
      ["5.6^7.5", "reading-form"],
      ["5.6^1/3", "reading-form"],
      ["5..6", "reading-form"],
      ["5.6.7", "reading-form"],
      ["5,6,7", "reading-form"],
      [".7", "reading-form"],
      ["1e3", "reading-form"],
      ["0x8", "reading-form"],
      ["Infinity", "reading-form"],
      ["NaN", "reading-form"],
      ["N=", "reading-form"],
      ["N=5.6^7", "reading-form"],
      ["N=-8", "reading-form"],
      ["f/f/8", "reading-form"],
      ["8 stops", "reading-form"],
      ["8;11", "reading-form"],
      ["<b>8</b>", "reading-form"],
      ["\u0000", "reading-form"],
      ["８", "reading-form"],
      ["5.6^12", "reading-tenth"],
      ["5.6 10/10", "reading-tenth"],
      ["5.6+0.75", "reading-tenth"],
      ["16 11", "reading-tenth"],
      ["7.1^3", "reading-mark"],
      ["9 1/3", "reading-mark"],
      ["6.3+0.2", "reading-mark"],
      ["0^5", "reading-mark"],
      ["5.6 1/4", "reading-fraction"],
      ["5.6+3/3", "reading-fraction"],
      ["5.6 1/0", "reading-fraction"],
      ["5.6⅛", "reading-fraction"],
      ["5.67", "reading-ambiguous"],
      ["2.83", "reading-ambiguous"],
      ["8.5", "reading-ambiguous"],
      ["11,4", "reading-ambiguous"],
      ["f/16.2", "reading-ambiguous"],
      ["0", "reading-range"],
      ["0.1", "reading-range"],
      ["f/400", "reading-range"],
      ["N=0", "reading-range"],
      ["N=100000", "reading-range"],
      [`N=${"9".repeat(60)}`, "reading-range"],
    ],
  ],
  [
    "stops",
    (text, where) => parseStops(text, { where }),
    [
      ["", "stops-empty"],
      [LONG, "stops-too-long"],
      ["some", "stops-form"],
      ["up", "stops-form"],
      ["-", "stops-form"],
      ["++1", "stops-form"],
      ["1/0", "stops-form"],
      ["1//3", "stops-form"],
      ["1.2.3", "stops-form"],
      ["2 sideways", "stops-form"],
      ["1e1", "stops-form"],
      ["down -1", "stops-sign-twice"],
      ["+1 under", "stops-sign-twice"],
      ["up 1 over", "stops-sign-twice"],
      ["31", "stops-range"],
      ["down 1000", "stops-range"],
    ],
  ],
  [
    "shutter",
    (text, where) => parseShutter(text, { where }),
    [
      ["", "shutter-empty"],
      [LONG, "shutter-too-long"],
      ["fast", "shutter-form"],
      ["-1/60", "shutter-form"],
      ["1/-60", "shutter-form"],
      ["1/", "shutter-form"],
      ["/60", "shutter-form"],
      ["1/60/2", "shutter-form"],
      ["video", "shutter-form"],
      ["1/50 slow", "shutter-form"],
      ["180°", "shutter-form"],
      ["180° at", "shutter-form"],
      ["at 24 fps", "shutter-form"],
      ["1/0", "shutter-zero"],
      ["0", "shutter-zero"],
      ["0 s", "shutter-zero"],
      ["125", "shutter-bare"],
      ["30", "shutter-bare"],
      ["0° at 24 fps", "shutter-angle"],
      ["400° at 24 fps", "shutter-angle"],
      ["180° at 0 fps", "shutter-rate"],
      ["180° at 5000 fps", "shutter-rate"],
      ["1/1000000", "shutter-range"],
      ["5000 s", "shutter-range"],
      ["0.001° at 1000 fps", "shutter-range"],
    ],
  ],
  [
    "iso",
    (text, where) => parseIso(text, where),
    [
      ["", "iso-empty"],
      [LONG, "iso-too-long"],
      ["auto", "iso-form"],
      ["-100", "iso-form"],
      ["ISO", "iso-form"],
      ["400/", "iso-form"],
      ["100-200", "iso-form"],
      ["27.5°", "iso-form"],
      ["400/24°", "iso-disagree"],
      ["0", "iso-range"],
      ["99999999", "iso-range"],
      ["99°", "iso-range"],
    ],
  ],
  [
    "length",
    (text, where) => parseLength(text, { where }),
    [
      ["", "length-empty"],
      [LONG, "length-too-long"],
      ["far", "length-form"],
      ["1.25 km", "length-form"],
      ["m", "length-form"],
      ["1.2.5 m", "length-form"],
      ["4 ft 1", "length-form"],
      ["4'1'", "length-form"],
      ["ft", "length-form"],
      ["1/0 in", "length-form"],
      ["1 m 25 cm", "length-form"],
      ["--1 m", "length-form"],
      ["4 ft 13 in", "length-inches"],
      ["-1 m", "length-range"],
      ["1001 m", "length-range"],
      ["999999 ft", "length-range"],
    ],
  ],
  [
    "azimuth",
    (text, where) => parseAzimuth(text, where),
    [
      ["", "angle-empty"],
      [LONG, "angle-too-long"],
      ["left", "angle-side"],
      ["45° left", "angle-side"],
      ["right 30", "angle-side"],
      ["45° stage left", "angle-form"],
      ["forty", "angle-form"],
      ["45 rad", "angle-form"],
      ["camera left", "angle-form"],
      ["-45° camera left", "angle-sign-twice"],
      ["camera left 45 camera left", "angle-sign-twice"],
      ["361", "angle-range"],
    ],
  ],
  [
    "elevation",
    (text, where) => parseElevation(text, where),
    [
      ["", "angle-empty"],
      ["high", "angle-form"],
      ["30 camera left", "angle-form"],
      ["-30 down", "angle-sign-twice"],
      ["91° up", "angle-range"],
    ],
  ],
  [
    "plain angle",
    (text, where) => parseDegrees(text, where),
    [
      ["", "angle-empty"],
      ["90 up", "angle-form"],
      ["+-90", "angle-form"],
      ["-361°", "angle-range"],
    ],
  ],
  [
    "clock",
    (text, where) => parseClock(text, where),
    [
      ["", "clock-empty"],
      ["noon", "clock-form"],
      ["half past 1:30", "clock-form"],
      ["0", "clock-range"],
      ["13 o'clock", "clock-range"],
      ["1:75", "clock-range"],
    ],
  ],
  [
    "temperature",
    (text, where) => parseTemperature(text, where),
    [
      ["", "temperature-empty"],
      ["warm", "temperature-form"],
      ["-5600", "temperature-form"],
      ["5600 C", "temperature-form"],
      ["0", "temperature-range"],
      ["0 mired", "temperature-range"],
      ["999999 K", "temperature-range"],
    ],
  ],
  [
    "mired shift",
    (text, where) => parseMiredShift(text, where),
    [
      ["", "mired-empty"],
      ["full orange", "mired-form"],
      ["+-20", "mired-form"],
      ["+5000", "mired-range"],
    ],
  ],
  [
    "illuminance",
    (text, where) => parseIlluminance(text, where),
    [
      ["", "lux-empty"],
      ["dim", "lux-form"],
      ["-5 lx", "lux-form"],
      ["5 cd", "lux-form"],
      ["99999999 lx", "lux-range"],
    ],
  ],
  [
    "fraction dial in tenths",
    (text, where) => parseDial(text, FRACTION, { where }),
    [
      ["", "dial-empty"],
      [LONG, "dial-too-long"],
      ["half", "dial-form"],
      ["1/", "dial-form"],
      ["2/4", "dial-form"],
      ["0.5", "dial-form"],
      ["1/16+", "dial-form"],
      ["1/16+1.5", "dial-form"],
      ["1/16++0.3", "dial-form"],
      ["1/12", "dial-fraction"],
      ["1/0", "dial-fraction"],
      ["1/16+0.35", "dial-step"],
      ["1/16+1/3", "dial-step"],
      ["1/1+0.3", "dial-above-full"],
      ["1/512", "dial-below-lowest"],
    ],
  ],
  ["fraction dial in thirds", (text, where) => parseDial(text, THIRDS, { where }), [["1/8+0.5", "dial-step"]]],
  [
    "dial in stops below full",
    (text, where) => parseDial(text, BELOW, { where }),
    [
      ["low", "dial-form"],
      ["--3", "dial-form"],
      ["-3.75", "dial-step"],
      ["+1", "dial-above-full"],
      ["-5.1", "dial-below-lowest"],
    ],
  ],
  [
    "number dial",
    (text, where) => parseDial(text, NUMBER, { where }),
    [
      ["ten", "dial-form"],
      ["6.35", "dial-step"],
      ["10.1", "dial-above-full"],
      ["1.9", "dial-below-lowest"],
    ],
  ],
  [
    "watt-second dial",
    (text, where) => parseDial(text, WS, { where }),
    [
      ["0 Ws", "dial-form"],
      ["100 W", "dial-form"],
      ["-100 Ws", "dial-form"],
      ["410 Ws", "dial-above-full"],
      ["10 Ws", "dial-below-lowest"],
    ],
  ],
  [
    "percent dial",
    (text, where) => parseDial(text, PERCENT, { where }),
    [
      ["0 %", "dial-form"],
      ["-20 %", "dial-form"],
      ["half %", "dial-form"],
      ["35.5 %", "dial-step"],
      ["120 %", "dial-above-full"],
      ["9 %", "dial-below-lowest"],
    ],
  ],
];

for (const [name, parse, texts] of CASES) {
  test(`${texts.length} bad texts for a ${name} each raise their own fault, with place and mend`, () => {
    for (const [text, code] of texts) {
      const result = parse(text, "here[3]");
      assert.ok(!result.ok, `${JSON.stringify(text)} was taken for good`);
      assert.deepEqual(
        result.faults.map((f) => f.code),
        [code],
        JSON.stringify(text),
      );
      for (const f of result.faults) {
        assert.equal(f.where, "here[3]");
        assert.ok(f.what.length > 5 && f.what.length < 160, f.what);
        assert.match(f.mend, /^[A-Z].*[.]$/);
        // Outside what it quotes, a fault never shows a value that the program failed to make.
        assert.doesNotMatch(`${f.what} ${f.mend}`.replace(/"[^"]*"/g, ""), /NaN|undefined|Infinity/);
      }
    }
  });
}

test("there are at least a hundred bad texts", () => {
  assert.ok(CASES.reduce((sum, [, , texts]) => sum + texts.length, 0) >= 100);
});
