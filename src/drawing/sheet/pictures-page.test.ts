import assert from "node:assert/strict";
import { test } from "node:test";
import { choirReport, choirSetup } from "../choir-example.ts";
import { boundsOf, flat } from "../shape.ts";
import { toSvg } from "../svg.ts";
import type { ImageShape } from "../types.ts";
import type { SheetPicture } from "./paper.ts";
import { sheetPages } from "./sheet.ts";

/** One grey pixel: a PNG by its bytes, made with ISO/IEC 15948:2004 in hand. */
const GREY =
  "data:image/png;base64,iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAAAAAA6fptVAAAACklEQVR4nGNoAAAAggCBd81ytgAAAABJRU5ErkJggg==";
const picture = (lightId: string | null, liftedStops: number): SheetPicture => ({
  ...{ lightId, liftedStops, source: GREY, width: 200, height: 300 },
});
const pictures = [picture(null, 0), ...choirSetup.lights.flatMap(({ id }) => [picture(id, 0), picture(id, 2.04)])];

test("without pictures the sheet has two pages, with them a third that counts itself", () => {
  const options = { paper: "A4", units: "metres" } as const;
  assert.equal(sheetPages(choirSetup, choirReport, [], options).length, 2);
  assert.equal(sheetPages(choirSetup, choirReport, [], { ...options, pictures: [] }).length, 2);
  const pages = sheetPages(choirSetup, choirReport, [], { ...options, pictures });
  assert.equal(pages.length, 3);
  assert.match(toSvg(pages[2]!), /Stopwise, 3 of 3/);
  assert.match(toSvg(pages[0]!), /Stopwise, 1 of 3/);
});

test("pictures keep their shape, lie on the paper, apart from each other, and say what they show and how far lifted", () => {
  for (const paper of ["A4", "Letter"] as const) {
    const page = sheetPages(choirSetup, choirReport, [], { paper, units: "metres", pictures })[2]!;
    const images = [...flat(page.shapes)].filter((shape): shape is ImageShape => shape.kind === "image");
    assert.equal(images.length, pictures.length);
    for (const [i, { x, y, width, height, label }] of images.entries()) {
      assert.ok(Math.abs(height / width - 1.5) < 1e-9);
      assert.ok(x >= 0 && y >= 0 && x + width <= page.width && y + height <= page.height, label);
      for (const other of images.slice(i + 1)) {
        const apart = other.x >= x + width || other.y >= y + height || other.x + other.width <= x;
        assert.ok(apart, `${label} lies on ${other.label}`);
      }
    }
    assert.deepEqual(
      images.slice(0, 3).map(({ label }) => label),
      ["All lights together", "M alone", "M alone, lifted 2.0 stops"],
    );
    const box = boundsOf(page.shapes);
    assert.ok(box.x >= 0 && box.x + box.width <= page.width && box.y + box.height <= page.height);
    assert.match(toSvg(page), /<image [^>]*href="data:image\/png;base64,[^"]+" role="img" aria-label="M alone"/);
  }
});
