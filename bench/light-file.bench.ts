/**
 * Reading measured light files: the real .ies and .ldt files of ../shared/data, against JSON.parse of the same
 * numbers as a scale of what reading numbers costs at all. Then one large file, made here from a formula.
 */

import { existsSync, globSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { decodePhotometricText, type PhotometricWeb, parsePhotometricFile, printIes } from "../src/photometry/index.ts";
import { expectOk } from "../src/units/index.ts";
import { printMachine, printRatio, printSink, race } from "./harness.ts";

const folder = join(import.meta.dirname, "..", "..", "shared", "data");
const read = (text: string): PhotometricWeb => expectOk(parsePhotometricFile(text));
const numbersOf = (web: PhotometricWeb): string =>
  JSON.stringify([web.verticalDeg, web.horizontalDeg, web.candela, web.lumensPerLamp, web.inputWatts]);
const countOf = (web: PhotometricWeb): number => web.candela.length * web.verticalDeg.length;

function compare(name: string, texts: readonly string[], rounds: number): void {
  const webs = texts.map(read);
  const jsons = webs.map(numbersOf);
  const values = webs.reduce((sum, web) => sum + countOf(web), 0);
  const bytes = texts.reduce((sum, text) => sum + text.length, 0);
  console.log(`light files: ${name}, ${bytes} characters, ${values} candela values`);
  const [ours, json] = race(
    [
      {
        name: "parsePhotometricFile, checks and flux included",
        run: () => texts.reduce((sum, text) => sum + read(text).fluxLm, 0),
      },
      {
        name: "JSON.parse of the same numbers",
        run: () => jsons.reduce((sum, text) => sum + (JSON.parse(text) as [number[]])[0].length, 0),
      },
    ],
    { rounds, warm: rounds },
  );
  printRatio(ours, json);
}

printMachine();
if (existsSync(folder)) {
  const files = globSync("**/*.{ies,ldt}", { cwd: folder }).sort();
  const texts = files.flatMap((file) => {
    const text = decodePhotometricText(readFileSync(join(folder, file)), file);
    return text.ok && parsePhotometricFile(text.value).ok ? [text.value] : [];
  });
  compare(`${texts.length} of ${files.length} real files that can be read`, texts, 300);
} else {
  console.log("   ../shared/data is not here: the real files are left out");
}

/** 181 × 73 values of a lobe that leans, so that no plane equals another. */
const base = read(
  printIes({
    ...read(["IESNA:LM-63-2002", "TILT=NONE", "1 1000 1 2 1 1 2 0 0 0", "1 1 100", "0 90", "0", "100 0"].join("\n")),
    symmetry: "none",
    verticalDeg: Array.from({ length: 181 }, (_, i) => i),
    horizontalDeg: Array.from({ length: 73 }, (_, i) => 5 * i),
    candela: Array.from({ length: 73 }, (_, plane) =>
      Array.from(
        { length: 181 },
        (_v, i) => 1000 * Math.max(0, Math.cos((i * Math.PI) / 180)) ** (1 + (plane % 72) / 9),
      ),
    ),
  }),
);
compare("one large file", [printIes(base)], 60);
printSink();
