/**
 * Lengths as people write them, in metres inside. One inch is 0.0254 m, one foot twelve of them (international yard
 * and pound agreement, 1959; exact). Printed to the centimetre or the quarter inch, which a tape on a floor can hold.
 */

import {
  foldText,
  minus,
  parseAmount,
  quote,
  refuse,
  requireFinite,
  roundSigned,
  textFault,
  vulgar,
} from "./notation.ts";
import { failure, type Result, success } from "./result.ts";
import { type Metres, metres } from "./unit.ts";

export const METRES_PER_INCH = 0.0254;
export const METRES_PER_FOOT = 0.3048;

export interface LengthOptions {
  /** Named in faults; "length" unless said. */
  readonly where?: string;
  /** Smallest and largest accepted, m; 0 to 1000 unless said. A negative smallest lets a minus sign in. */
  readonly min?: number;
  readonly max?: number;
}

/**
 * A length: "1.25", "1.25 m", "125 cm", "1250 mm", "4 ft 1 1/4 in", `4'1.25"`, "4′ 1¼″", "49 in", "4 ft". A bare number is
 * metres. Faults: length-empty, -too-long, -form, -inches (12 or more beside feet), -range.
 */
export function parseLength(text: string, options: LengthOptions = {}): Result<Metres> {
  const where = options.where ?? "length";
  const { min = 0, max = 1000 } = options;
  const bare = textFault("length", text, where, MEND);
  if (bare) return failure(bare);
  const [, sign = "", folded = ""] = /^([+-]?) ?(.*)$/.exec(foldText(text)) ?? [];
  const size = readMetric(folded) ?? readFeet(folded);
  if (size === null) return refuse("length-form", `${quote(text)} is not a length`, where, MEND);
  if (size === "inches") {
    return refuse("length-inches", `${quote(text)} has 12 inches or more beside feet`, where, "Write them as feet.");
  }
  const length = sign === "-" ? 0 - size : size;
  if (!(length >= min && length <= max)) {
    return refuse(
      "length-range",
      `${quote(text)} is not between ${min} m and ${max} m`,
      where,
      `Write ${min} m to ${max} m.`,
    );
  }
  return success(metres(length));
}

export interface PrintLengthOptions {
  /** m: "1.25 m". cm: "125 cm". feet: "4′ 1¼″". m unless said. */
  readonly units?: "m" | "cm" | "feet";
  readonly ascii?: boolean;
}

/** A length to the centimetre, or in feet to the quarter inch (ascii: 4 ft 1 1/4 in). */
export function printLength(length: Metres, options: PrintLengthOptions = {}): string {
  requireFinite(length, "The length");
  const ascii = options.ascii ?? false;
  const units = options.units ?? "m";
  const unit = units === "feet" ? METRES_PER_INCH / 4 : 0.01;
  const count = roundSigned(length / unit);
  const sign = count < 0 ? minus(ascii) : "";
  const size = Math.abs(count);
  if (units === "cm") return `${sign}${size} cm`;
  if (units === "m") return `${sign}${(size / 100).toFixed(2)} m`;
  return sign + printFeet(size, ascii);
}

const MEND = "Write a length such as 1.25 m, 125 cm, 4 ft 1 1/4 in or 49 in.";

const METRES_PER: Readonly<Record<string, number>> = { "": 1, m: 1, cm: 0.01, mm: 0.001 };

function readMetric(folded: string): number | null {
  const parts = /^(\d+(?:\.\d+)?|\.\d+) ?(m|cm|mm|)$/.exec(folded);
  if (!parts) return null;
  const unit = METRES_PER[parts[2] ?? ""] ?? 1;
  // Dividing by a whole number keeps 125 cm at exactly 1.25.
  return Number(parts[1]) / Math.round(1 / unit);
}

/** Feet, inches or both; inches may carry a fraction. */
function readFeet(folded: string): number | "inches" | null {
  const parts = /^(?:([\d./ ]+?) ?(?:ft|feet|foot|'))?(?: ?-? ?([\d./ ]*\d) ?(?:in|inch|inches|"))?$/.exec(folded);
  if (!parts || (parts[1] === undefined && parts[2] === undefined)) return null;
  const feet = parts[1] === undefined ? 0 : parseAmount(parts[1]);
  const inches = parts[2] === undefined ? 0 : parseAmount(parts[2]);
  if (feet === null || inches === null) return null;
  if (parts[1] !== undefined && inches >= 12) return "inches";
  return (feet * 12 + inches) * METRES_PER_INCH;
}

/** `quarters`: whole quarter inches, 0 or more. */
function printFeet(quarters: number, ascii: boolean): string {
  const feet = Math.floor(quarters / 48);
  const whole = Math.floor((quarters % 48) / 4);
  const fraction = ["", "1/4", "1/2", "3/4"][quarters % 4] ?? "";
  const shown = [whole > 0 || fraction === "" ? String(whole) : "", ascii ? fraction : vulgar(fraction)].filter(
    (part) => part !== "",
  );
  return ascii ? `${feet} ft ${shown.join(" ")} in` : `${feet}′ ${shown.join("")}″`;
}
