/**
 * Angles, in degrees inside. Azimuth is 0 toward the camera and positive to picture-right, which is camera right;
 * "left" alone is never taken, since the sitter's left is the other one. Elevation is positive up. A clock face
 * (catchlights) runs clockwise from 12.
 */

import {
  foldText,
  minus,
  plainNumber,
  quote,
  refuse,
  requireFinite,
  roundHalfUp,
  roundSigned,
  textFault,
} from "./notation.ts";
import { failure, type Result, success } from "./result.ts";
import { type Degrees, degrees } from "./unit.ts";

/**
 * An azimuth: "45° camera left", "camera right 25", "−45", "128 deg camera right", "0". Returned in (−180°, 180°].
 * Faults: angle-empty, -too-long, -form, -side (left or right of whom?), -sign-twice, -range (beyond 360°).
 */
export function parseAzimuth(text: string, where = "angle"): Result<Degrees> {
  const mend = "Write an angle such as 45° camera left or 25° camera right.";
  const bare = textFault("angle", text, where, mend);
  if (bare) return failure(bare);
  const folded = foldText(text);
  if (/^[-+]?[\d. °]*(deg(rees?)?)? ?(left|right)$|^(left|right)\b/.test(folded)) {
    return refuse(
      "angle-side",
      `${quote(text)} does not say left or right of what`,
      where,
      "Write camera left or camera right.",
    );
  }
  const parts =
    /^(?:camera (left|right) )?([+-] ?)?(\d+(?:\.\d+)?) ?(?:°|deg|degrees?)?(?: ?camera (left|right))?$/.exec(folded);
  if (!parts) return refuse("angle-form", `${quote(text)} is not an angle`, where, mend);
  return signed(
    parts,
    (word) => word === "left",
    { text, where, most: 360 },
    (angle) => wrapDegrees(angle),
  );
}

/**
 * An elevation or tilt: "30° up", "down 15", "−15". Within ±90°. Faults: angle-empty, -too-long, -form, -sign-twice,
 * -range.
 */
export function parseElevation(text: string, where = "angle"): Result<Degrees> {
  const mend = "Write an angle such as 30° up or 15° down.";
  const bare = textFault("angle", text, where, mend);
  if (bare) return failure(bare);
  const parts = /^(?:(up|down) )?([+-] ?)?(\d+(?:\.\d+)?) ?(?:°|deg|degrees?)?(?: ?(up|down))?$/.exec(foldText(text));
  if (!parts) return refuse("angle-form", `${quote(text)} is not an angle`, where, mend);
  return signed(
    parts,
    (word) => word === "down",
    { text, where, most: 90 },
    (angle) => degrees(angle),
  );
}

/**
 * A plain signed angle, such as a roll: "90°", "−12.5". The inverse of `printDegrees`; not wrapped. Faults: angle-empty,
 * -too-long, -form, -range (beyond ±360°).
 */
export function parseDegrees(text: string, where = "angle"): Result<Degrees> {
  const mend = "Write an angle such as 90° or -12.5°.";
  const bare = textFault("angle", text, where, mend);
  if (bare) return failure(bare);
  const parts = /^([+-]?) ?(\d+(?:\.\d+)?) ?(?:°|deg|degrees?)?$/.exec(foldText(text));
  if (!parts) return refuse("angle-form", `${quote(text)} is not an angle`, where, mend);
  const size = Number(parts[2]);
  if (size > 360) return refuse("angle-range", `${quote(text)} is beyond 360°`, where, "Write at most 360°.");
  return success(degrees(parts[1] === "-" ? 0 - size : size));
}

export interface PrintAngleOptions {
  /** Decimals shown at most; 0 unless said. */
  readonly decimals?: number;
  readonly ascii?: boolean;
}

/** "45° camera left", "0°", "180°": an azimuth in words. */
export function printAzimuth(azimuth: Degrees, options: PrintAngleOptions = {}): string {
  const size = rounded(wrapDegrees(azimuth), options);
  const side = size === 0 || Math.abs(size) === 180 ? "" : size < 0 ? " camera left" : " camera right";
  return `${shown(Math.abs(size), options)}${side}`;
}

/** "30° up", "15° down", "level". */
export function printElevation(elevation: Degrees, options: PrintAngleOptions = {}): string {
  const size = rounded(elevation, options);
  return `${shown(Math.abs(size), options)}${size === 0 ? "" : size < 0 ? " down" : " up"}`;
}

/** "−45°": the number alone. */
export function printDegrees(angle: Degrees, options: PrintAngleOptions = {}): string {
  const size = rounded(angle, options);
  return (size < 0 ? minus(options.ascii ?? false) : "") + shown(Math.abs(size), options);
}

/** The same direction in (−180°, 180°]. */
export function wrapDegrees(angle: number): Degrees {
  requireFinite(angle, "The angle");
  // What is already in range passes untouched, so that no digit is lost.
  if (angle > -180 && angle <= 180) return degrees(angle);
  const turned = angle - 360 * Math.floor(angle / 360);
  return degrees(turned > 180 ? turned - 360 : turned);
}

/** Where a direction on a clock face points, in hours 0 ≤ h < 12, from degrees clockwise of 12. */
export function clockHours(clockwise: Degrees): number {
  requireFinite(clockwise, "The angle");
  return ((((clockwise % 360) + 360) % 360) / 30) % 12;
}

/** "2 o'clock", "half past 1": to the half hour, as catchlights are told. */
export function printClock(clockwise: Degrees): string {
  const halves = roundHalfUp(2 * clockHours(clockwise)) % 24;
  const hour = Math.floor(halves / 2) || 12;
  return halves % 2 === 0 ? `${hour} o'clock` : `half past ${hour}`;
}

/** The inverse of `printClock`; also "1:30", "10". Faults: clock-empty, -too-long, -form, -range. */
export function parseClock(text: string, where = "clock"): Result<Degrees> {
  const mend = "Write 2 o'clock, half past 1 or 1:30.";
  const bare = textFault("clock", text, where, mend);
  if (bare) return failure(bare);
  const parts = /^(half past )?(\d{1,2})(?::(\d\d))?(?: ?o'? ?clock)?$/.exec(foldText(text));
  if (!parts || (parts[1] && parts[3])) return refuse("clock-form", `${quote(text)} is not a clock time`, where, mend);
  const [hour, minute] = [Number(parts[2]), parts[1] ? 30 : Number(parts[3] ?? 0)];
  if (hour < 1 || hour > 12 || minute > 59) return refuse("clock-range", `${quote(text)} is on no clock`, where, mend);
  return success(degrees((hour % 12) * 30 + minute / 2));
}

interface Asked {
  readonly text: string;
  readonly where: string;
  readonly most: number;
}

/** Puts sign or word to the number; `parts` are word, sign, number, word. */
function signed(
  parts: RegExpExecArray,
  isNegative: (word: string) => boolean,
  asked: Asked,
  finish: (angle: number) => Degrees,
): Result<Degrees> {
  const [, before, sign, number, after] = parts;
  const said = [before, sign?.trim(), after].filter((word) => word !== undefined);
  if (said.length > 1) {
    return refuse(
      "angle-sign-twice",
      `${quote(asked.text)} says twice which way`,
      asked.where,
      "Write a word or a sign, not both.",
    );
  }
  if (Number(number) > asked.most) {
    return refuse(
      "angle-range",
      `${quote(asked.text)} is beyond ${asked.most}°`,
      asked.where,
      `Write at most ${asked.most}°.`,
    );
  }
  const word = said[0] ?? "+";
  return success(finish(word === "-" || isNegative(word) ? 0 - Number(number) : Number(number)));
}

function rounded(angle: number, options: PrintAngleOptions): number {
  requireFinite(angle, "The angle");
  const unit = 10 ** (options.decimals ?? 0);
  return roundSigned(angle * unit) / unit;
}

const shown = (size: number, options: PrintAngleOptions): string =>
  `${plainNumber(size, options.decimals ?? 0)}${options.ascii ? " deg" : "°"}`;
