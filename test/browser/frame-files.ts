/**
 * A folder of test frames without a camera: the demo's lights rendered one by one, all together with the hair light
 * bumped, and none; photographed by a camera in numbers into 16-bit PNG files. Everything in it is invented.
 */

import { writeFile } from "node:fs/promises";
import { join } from "node:path";
import { CODED_8, photograph } from "../../src/frames/index.ts";
import { writePng16 } from "../../src/work/index.ts";
import { exposureOf, renderSet } from "../rendered-frames.ts";

/** The hair light stands so many stops lower in the frame of all than in its own. */
export const BUMPED_STOPS = -0.5;

/** Names of the files, without their ending. */
export const FRAME_NAMES: readonly string[] = ["0412_M", "0413_F", "0414_E", "0415_H", "0416_all", "0417_none"];

/** Writes NAME.png for each of `FRAME_NAMES`; `width` of the traced picture, a third of the files'. */
export async function writeFrameFiles(
  folder: string,
  size: { readonly width: number; readonly samples: number },
): Promise<void> {
  const set = renderSet({ ...size, enlarge: 3 });
  const lightsOf = (name: string): (number | null)[] =>
    set.lights.map(({ tag }) => {
      if (name.endsWith("_all")) return tag === "H" ? BUMPED_STOPS : 0;
      return name.endsWith(`_${tag}`) ? 0 : null;
    });
  for (const [i, name] of FRAME_NAMES.entries()) {
    const linear = exposureOf(set, lightsOf(name)).map((value) => 0.8 * value);
    // Coded as sRGB, but in 16 bits: a hair light three under is not drowned in codes.
    const image = photograph(linear, set.width, set.height, { ...CODED_8, bits: 16 }, i + 1);
    const codes = Uint16Array.from(image.rgb, (code) => Math.round(65_535 * Math.min(1, Math.max(0, code))));
    await writeFile(join(folder, `${name}.png`), await writePng16(codes, set.width, set.height));
  }
}
