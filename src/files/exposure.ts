/** What a file says of its exposure: Exif (CIPA DC-008-2023), from the tags of a TIFF, DNG or Exif block. */

import type { FrameExposure } from "../frames/index.ts";
import { type Directory, flatten, numberOf, TAG } from "./tiff-tags.ts";

export const NO_EXPOSURE: FrameExposure = {
  shutterS: null,
  fNumber: null,
  iso: null,
  takenAt: null,
  whiteBalance: null,
  manual: null,
  biasStops: null,
  flashFired: null,
};

const WHITE_BALANCE = 41987;
const EXPOSURE_MODE = 41986;
const EXPOSURE_PROGRAM = 34850;
const FLASH = 37385;
const OFFSET_TIME_ORIGINAL = 36881;
/** ISO of 65535 says "see another tag". */
const RECOMMENDED_INDEX = 34866;

/** The first directory that says a thing wins: the main one, then those under it. */
export function exposureOf(directories: readonly Directory[]): FrameExposure {
  const all = directories.flatMap(flatten);
  const number = (id: number): number | null => {
    for (const each of all) {
      const value = numberOf(each, id);
      if (value !== undefined && Number.isFinite(value)) return value;
    }
    return null;
  };
  const positive = (id: number): number | null => {
    const value = number(id);
    return value !== null && value > 0 ? value : null;
  };
  const iso = positive(TAG.iso);
  const mode = number(EXPOSURE_MODE);
  const program = number(EXPOSURE_PROGRAM);
  const balance = number(WHITE_BALANCE);
  const flash = number(FLASH);
  return {
    shutterS: positive(TAG.exposureTime),
    fNumber: positive(TAG.fNumber),
    iso: iso === 65535 ? positive(RECOMMENDED_INDEX) : iso,
    takenAt: takenAt(all),
    whiteBalance: balance === 1 ? "manual" : balance === 0 ? "auto" : null,
    manual: manualOf(mode, program),
    biasStops: number(TAG.exposureBias),
    flashFired: flash === null ? null : (flash & 1) === 1,
  };
}

/** Mode 1 is manual, 0 automatic, 2 an automatic bracket; program 1 is manual, 2 to 8 the camera's own choices. */
function manualOf(mode: number | null, program: number | null): boolean | null {
  if (mode === 1 || program === 1) return true;
  if (mode === 0 || mode === 2 || (program !== null && program >= 2)) return false;
  return null;
}

/** "2026:03:07 14:02:11" becomes "2026-03-07T14:02:11", with part seconds and offset where the file gives them. */
function takenAt(all: readonly Directory[]): string | null {
  const text = (id: number): string => all.map((each) => each.tags.get(id)?.text ?? "").find((t) => t !== "") ?? "";
  const match = /^(\d{4})[:-](\d\d)[:-](\d\d)[ T](\d\d):(\d\d):(\d\d)$/.exec(text(TAG.dateTimeOriginal));
  if (match === null || match[1] === "0000") return null;
  const [, year, month, day, hour, minute, second] = match;
  const part = /^\d{1,9}$/.test(text(TAG.subSecTimeOriginal)) ? `.${text(TAG.subSecTimeOriginal)}` : "";
  const offset = /^[+-]\d\d:\d\d$/.test(text(OFFSET_TIME_ORIGINAL)) ? text(OFFSET_TIME_ORIGINAL) : "";
  return `${year}-${month}-${day}T${hour}:${minute}:${second}${part}${offset}`;
}
