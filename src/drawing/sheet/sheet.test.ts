import assert from "node:assert/strict";
import { test } from "node:test";
import { matchesGolden } from "../../../test/golden.ts";
import { type Caution, checkSetup } from "../../care/index.ts";
import { demoKit, demoSetups, type Setup } from "../../setup/index.ts";
import { predict } from "../../solve/index.ts";
import { choirReport, choirSetup } from "../choir-example.ts";
import { overlapArea } from "../labels.ts";
import { textBox } from "../measure.ts";
import { boundsOf, boxCorners, flat, pathPoints, textCorners } from "../shape.ts";
import { toSvg } from "../svg.ts";
import type { GroupShape, PathShape, Shape, TextShape } from "../types.ts";
import type { SheetFrame } from "./paper.ts";
import { type SheetPage, sheetPages } from "./sheet.ts";

const cautions: readonly Caution[] = [
  {
    id: "boom:light-h",
    level: "care",
    topic: "boom",
    about: { kind: "light", id: "light-h", tag: "H" },
    what: "H hangs 3.7 kg at 1.06 m on a boom",
    why: "it falls if the arm slips",
    mends: [{ label: "rebalance", edits: [], steps: ["lower", "hold the arm", "move the weight"], leaves: "balanced" }],
    defer: "The maker's instructions and competent persons decide.",
    source: "common practice, no source",
    figures: [],
  },
  {
    id: "dial:light-h",
    level: "stop",
    topic: "dial",
    about: { kind: "light", id: "light-h", tag: "H" },
    what: "H's lowest dial is 0.4 over its target",
    why: "the dial ends",
    mends: [],
    defer: "",
    source: "",
    figures: [],
  },
];

const textsOf = (shapes: readonly Shape[]): readonly TextShape[] =>
  [...flat(shapes)].filter((s): s is TextShape => s.kind === "text" && s.runs.length > 0);

const groupsOf = (shapes: readonly Shape[]): readonly GroupShape[] =>
  shapes.flatMap((s) => (s.kind === "group" ? [s, ...groupsOf(s.shapes)] : []));

const wordsOf = (page: SheetPage): string =>
  textsOf(page.shapes)
    .map((t) => t.runs.map((r) => r.text).join(""))
    .join("\n");

function staysOnPage(page: SheetPage): void {
  for (const shape of textsOf(page.shapes)) {
    for (const [x, y] of textCorners(shape)) {
      assert.ok(
        x >= 4 && x <= page.width - 4 && y >= 3 && y <= page.height - 3,
        `${page.title}: ${shape.runs[0]?.text} at ${x}, ${y}`,
      );
    }
  }
}

/** Outside plan, elevation and ladder no text lies on another. */
function noTextOnText(page: SheetPage): void {
  const drawn = new Set(groupsOf(page.shapes).filter((g) => ["plan", "ladder", "elevation"].includes(g.part ?? "")));
  const outside = (shapes: readonly Shape[]): readonly TextShape[] =>
    shapes.flatMap((s) => {
      if (s.kind === "group") return drawn.has(s) ? [] : outside(s.shapes);
      return s.kind === "text" && s.runs.length > 0 ? [s] : [];
    });
  const boxes = outside(page.shapes).map((t) => ({ words: t.runs.map((r) => r.text).join(""), box: textBox(t) }));
  boxes.forEach((a, i) => {
    for (const b of boxes.slice(i + 1)) {
      const shared = overlapArea(boxCorners(a.box), b.box);
      const smaller = Math.min(a.box.width * a.box.height, b.box.width * b.box.height);
      assert.ok(shared < 0.15 * smaller, `${page.title}: "${a.words}" on "${b.words}"`);
    }
  });
}

const pagesOf = (
  setup: Setup,
  paper: "A4" | "Letter" = "A4",
  units: "metres" | "feet" = "metres",
): readonly SheetPage[] =>
  sheetPages(setup, setup === choirSetup ? choirReport : predict(setup), cautions, {
    paper,
    units,
    printedAt: "25 November 2026",
  });

test("the line says 100 mm and is 100 mm, and the room has the stated scale", () => {
  for (const paper of ["A4", "Letter"] as const) {
    const [first] = pagesOf(choirSetup, paper);
    assert.ok(first);
    const rule = [...flat(first.shapes)].find((s): s is PathShape => s.kind === "path" && s.part === "rule:100mm");
    assert.ok(rule && Math.abs(boundsOf([rule]).width - 100) < 1e-6);
    assert.equal(first.scaleOneTo, 50);
    // The floor of the plan is the second shape of the plan: a rectangle of the room's width.
    const floor = groupsOf(first.shapes).find((g) => g.part === "plan")?.shapes[1];
    assert.ok(floor?.kind === "path");
    const xs = pathPoints(floor).map((p) => p[0]);
    assert.ok(Math.abs(Math.max(...xs) - Math.min(...xs) - 4200 / 50) < 1e-6);
    assert.ok(wordsOf(first).includes("Plan and elevation 1:50 if this line is 100 mm"));
  }
});

test("page one tells all that a rebuild needs of each light, and page two how", () => {
  const [first, second] = pagesOf(choirSetup);
  assert.ok(first && second);
  for (const words of [
    "90 cm octa, inner + front",
    "mains 400 Ws, no. 1, fires on 1",
    "1.25 m",
    "45° camera left",
    "25° down",
    "1.10 in front",
    "−3.7",
    "f/5.60",
    "turn to −4.2",
    "H's lowest dial is 0.4 over its target.",
  ]) {
    assert.ok(wordsOf(first).includes(words), words);
  }
  for (const words of [
    "Build",
    "Strike, in reverse",
    "Pack",
    "Tape checks",
    "Derived",
    "Run of sitters",
    "counterweight 5.7 kg",
    "10:30",
  ]) {
    assert.ok(wordsOf(second).includes(words), words);
  }
  const strike = wordsOf(second);
  assert.ok(strike.indexOf("Counterweight off first") < strike.indexOf("Bag off last"));
});

test("an exact speed prints as the mark that was set: ISO 640, not 634.96", () => {
  const [first] = pagesOf({ ...choirSetup, exposure: { ...choirSetup.exposure, iso: 100 * 2 ** (8 / 3) } });
  assert.match(wordsOf(first as SheetPage), /ISO 640 /);
  assert.doesNotMatch(wordsOf(first as SheetPage), /634/);
});

test("24 sitters keep to two pages on A4 and Letter, in metres and feet, and nothing runs over or lies on another", () => {
  for (const paper of ["A4", "Letter"] as const) {
    for (const units of ["metres", "feet"] as const) {
      const pages = pagesOf(choirSetup, paper, units);
      assert.equal(pages.length, 2);
      assert.ok(wordsOf(pages[1] as SheetPage).includes("24"));
      for (const page of pages) {
        staysOnPage(page);
        noTextOnText(page);
      }
    }
  }
});

test("test frames are named with what they show and ten digits of their hash; none and unasked are told apart", () => {
  const sheet = (frames?: readonly SheetFrame[]): string =>
    sheetPages(choirSetup, choirReport, cautions, {
      ...{ paper: "A4", units: "metres", printedAt: "25 November 2026" },
      ...(frames === undefined ? {} : { frames }),
    })
      .map(wordsOf)
      .join(" ")
      .replaceAll("\n", " ");
  assert.doesNotMatch(sheet(), /Frames[:,]/);
  assert.match(sheet([]), /Frames: none yet\./);
  const frame: SheetFrame = { name: "0412.dng", sha256: "0123456789abcdef".repeat(4), shows: "M" };
  assert.match(sheet([frame]), /M 0412 0123456789\./);
  assert.match(sheet(Array.from({ length: 30 }, () => frame)), /22 more in the book/);
});

test("in feet, the frame, the depth in focus and the lean are told in feet and inches too", () => {
  const words = pagesOf(choirSetup, "A4", "feet").map(wordsOf).join("\n");
  assert.match(words, /In focus: \d+′ \d+″/);
  assert.doesNotMatch(words, /In focus: \d+ cm|^\d+ cm$|\d\.\d\d × \d\.\d\d m/m);
});

test("long names, many lights, many sitters and many cautions still keep to two pages", () => {
  const long = "An uncommonly long name that somebody typed without thinking of paper";
  const lights = Array.from({ length: 9 }, (_, i) => {
    const light = choirSetup.lights[i % 4] as Setup["lights"][number];
    return {
      ...light,
      id: `l${i}`,
      tag: `E${i}`,
      modifier: { ...light.modifier, name: long },
      head: { ...light.head, name: long },
    };
  });
  const sitters = Array.from({ length: 60 }, (_, i) => ({
    ...(choirSetup.sitters[i % 24] as Setup["sitters"][number]),
    id: `s${i}`,
    order: String(100 + i),
    name: long,
  }));
  const report = {
    ...choirReport,
    lights: lights.map((l, i) => ({
      ...(choirReport.lights[i % 4] as (typeof choirReport.lights)[number]),
      lightId: l.id,
      tag: l.tag,
    })),
  };
  const many = Array.from({ length: 20 }, (_, i) => ({ ...(cautions[i % 2] as Caution), id: `c${i}` }));
  const pages = sheetPages({ ...choirSetup, title: long, lights, sitters }, report, many, {
    paper: "A4",
    units: "feet",
  });
  assert.equal(pages.length, 2);
  for (const page of pages) {
    staysOnPage(page);
    noTextOnText(page);
  }
});

test("no light and no sitter is a sheet too", () => {
  const empty = { ...choirSetup, lights: [], sitters: [], panels: [], backdrop: null };
  const report = { ...choirReport, lights: [], together: [], ratios: [], catchlights: [] };
  for (const page of sheetPages(empty, report, [], { paper: "A4", units: "metres" })) staysOnPage(page);
});

test("the sheet looks as it was approved", () => {
  pagesOf(choirSetup).forEach((page, i) => {
    matchesGolden(`sheet-${i + 1}`, toSvg(page, { palette: "print" }));
  });
});

test("every setup of the demo prints on two pages with its own cautions, nothing over the edge or on another", () => {
  const kit = demoKit();
  for (const setup of demoSetups()) {
    const report = predict(setup);
    const found = checkSetup(setup, report, kit);
    for (const paper of ["A4", "Letter"] as const) {
      const pages = sheetPages(setup, report, found, { paper, units: "metres" });
      assert.equal(pages.length, 2);
      for (const page of pages) {
        staysOnPage(page);
        noTextOnText(page);
      }
      for (const light of setup.lights) assert.ok(wordsOf(pages[0] as SheetPage).includes(light.tag));
    }
  }
});
