import assert from "node:assert/strict";
import { test } from "node:test";
import type { Vec3 } from "../units/index.ts";
import { dot, length, subtract } from "../units/index.ts";
import * as x from "./index.ts";
import { near, nearStops } from "./kit.test.ts";

const Z: Vec3 = [0, 0, 1];
const even = (r: number): x.WallReflectances => ({ ceiling: r, floor: r, left: r, right: r, back: r, front: r });
const cube = (r: number): x.RoomBox => ({ min: [-1.5, 0, -1.5], max: [1.5, 3, 1.5], reflectance: even(r) });
const studio: x.RoomBox = {
  min: [-2.5, 0, -3],
  max: [2.5, 2.7, 3],
  reflectance: { ceiling: 0.8, floor: 0.2, left: 0.7, right: 0.7, back: 0.7, front: 0.7 },
};
const box = x.rectangleFront({ centre: [0.8, 1.8, 0.9], normal: [-0.8, -0.5, -0.9] }, 0.6, 0.9);
const card = x.makePanel({ centre: [-0.9, 1.3, 0.2], normal: [1, 0, 0] }, 1.2, 2.4, 0.85, "matt", 0.04);

test("[P13] [CV58] (D) the studio of 5 × 6 × 2.7 m: ρ̄ 0.5995, 87.76 lx·s, −2.666 stops from 557", () => {
  near(x.meanReflectance(studio), 0.5995, 5e-4);
  near(x.roomArea(studio), 119.4, 1e-9);
  const e = 7000 * x.cavityAverage(studio);
  near(e, 87.756, 0.005);
  near(Math.log2(e / 557.04), -2.6662, 5e-4);
});

test("[P12] [CV59] (D) a white panel 1.2 × 2.4 at 0.8 m: F 0.543461, 92.39 lx·s under 200 lx·s", () => {
  const panel = x.makePanel({ centre: [0, 0, 0.8], normal: [0, 0, -1] }, 1.2, 2.4, 0.85, "matt");
  near(x.configurationFactor(panel.outline, [0, 0, 0], Z), 0.543461, 1e-6);
  near(200 * x.panelReturn(panel, [0, 0, 0], Z, x.DISC), 92.388, 1e-3);
});

test("[P12] many patches of one bounce agree with a finer cut of the same sum within 0.01 stop", () => {
  const point: Vec3 = [0, 1.3, 0];
  let fine = 0;
  for (const patch of x.patchGrid(card.outline, 40, 80)) {
    const e = x.frontFactor(box, patch.centre, card.normal, x.DISC);
    fine += 0.85 * e * patch.areaM2 * x.frontFactor(patch, point, Z, x.DOME);
  }
  nearStops(x.panelFactor(box, card, point, Z, x.DOME), fine, 0.01);
  assert.equal(x.panelFactor(box, card, [-2, 1.3, 0], Z, x.DOME), 0);
});

test("[P12] an endless mirror shows the whole image: the light as far behind it as it stands before it", () => {
  const mirror = x.makePanel({ centre: [-1, 1, 0], normal: [1, 0, 0] }, 400, 400, 0.9, "mirror");
  const image = x.rectangleFront({ centre: [-2.8, 1.8, 0.9], normal: [0.8, -0.5, -0.9] }, 0.6, 0.9);
  for (const receptor of [x.DISC, x.DOME]) {
    nearStops(
      x.panelFactor(box, mirror, [0, 1.3, 0], [-0.8, 0, 0.6], receptor),
      0.9 * x.frontFactor(image, [0, 1.3, 0], [-0.8, 0, 0.6], receptor),
      1e-9,
    );
  }
});

test("[P12] a small mirror shows the part of the image inside its edge", () => {
  const light = x.rectangleFront({ centre: [0, 0, 1], normal: [0, 0, -1] }, 0.5, 0.5);
  const mirror = x.makePanel({ centre: [0, 0, -1], normal: [0, 0, 1] }, 0.2, 0.2, 1, "mirror");
  // Meter at the origin facing the mirror: the image stands at −3, the mirror at −1 shows ±0.3 of it: all.
  const whole = x.panelFactor(light, mirror, [0, 0, 0], [0, 0, -1], x.DISC);
  near(
    whole,
    x.frontFactor(x.rectangleFront({ centre: [0, 0, -3], normal: [0, 0, 1] }, 0.5, 0.5), [0, 0, 0], [0, 0, -1], x.DISC),
    1e-12,
  );
  // Half as wide it shows ±0.15 of ±0.25 in both directions.
  const small = x.makePanel({ centre: [0, 0, -1], normal: [0, 0, 1] }, 0.1, 0.1, 1, "mirror");
  const part = x.rectangleFront({ centre: [0, 0, -3], normal: [0, 0, 1] }, 0.3, 0.3);
  near(
    x.panelFactor(light, small, [0, 0, 0], [0, 0, -1], x.DISC) * 0.25,
    x.frontFactor(part, [0, 0, 0], [0, 0, -1], x.DISC) * 0.09,
    1e-12,
  );
});

test("[P13] equal reflectances: mean light after the first bounce is Φρ/(A(1 − ρ)), the sphere series", () => {
  for (const rho of [0.1, 0.6, 0.9]) {
    const geometry = x.roomGeometry(cube(rho));
    for (const light of [x.bareFront({ centre: [0.4, 1.2, -0.5], normal: Z }), box]) {
      const { exitance, direct } = x.solveRoom(geometry, light);
      let sum = 0;
      geometry.patches.forEach((patch, i) => {
        sum += ((exitance[i] as number) / rho - (direct[i] as number)) * patch.areaM2;
      });
      near(sum / x.roomArea(cube(rho)), x.cavityAverage(cube(rho)), 1e-9);
    }
  }
});

test("[P13] form factors close (rows sum to 1) and are reciprocal, with a panel in the room too", () => {
  const { patches, factors } = x.roomGeometry(studio, [card]);
  const n = patches.length;
  for (let i = 0; i < n; i++) {
    let row = 0;
    for (let j = 0; j < n; j++) {
      row += factors[i * n + j] as number;
      const [there, back] = [factors[i * n + j] as number, factors[j * n + i] as number];
      near((patches[i] as x.Front).areaM2 * there, (patches[j] as x.Front).areaM2 * back, 1e-12);
    }
    near(row, 1, 1e-3);
  }
});

test("[P13] opposite and adjacent walls of a cube exchange what the unit cube's closed form says", () => {
  const { patches, factors } = x.roomGeometry(cube(0.5));
  const n = patches.length;
  const share = (from: Vec3, to: Vec3): number => {
    let sum = 0;
    patches.forEach((a, i) => {
      patches.forEach((b, j) => {
        if (dot(a.normal, from) > 0.9 && dot(b.normal, to) > 0.9)
          sum += (a.areaM2 * (factors[i * n + j] as number)) / 9;
      });
    });
    return sum;
  };
  near(share([0, 1, 0], [0, -1, 0]), 0.199825, 0.002);
  near(share([0, 1, 0], [1, 0, 0]), 0.200044, 0.002);
});

test("[P13] the books balance: what the surfaces swallow is what the light gave", () => {
  const geometry = x.roomGeometry(studio, [card]);
  const { exitance } = x.solveRoom(geometry, box);
  let swallowed = 0;
  geometry.patches.forEach((patch, i) => {
    const rho = geometry.reflectance[i] as number;
    swallowed += ((exitance[i] as number) * (1 - rho) * patch.areaM2) / rho;
  });
  near(swallowed, 1, 0.003);
});

test("[P13] in the studio the radiosity of the walls lies within a stop of the cavity average, and dome over disc near 2", () => {
  const geometry = x.roomGeometry(studio);
  const solution = x.solveRoom(geometry, x.bareFront({ centre: [0, 1.4, 0.5], normal: Z }));
  const at = (receptor: { kind: x.ReceptorKind }): number =>
    x.roomShare(solution, x.gatherRoom(geometry, [0, 1.2, -0.5], [0, 0, 1], receptor)).walls;
  near(Math.log2(at(x.DISC) / x.cavityAverage(studio)), 0, 1);
  near(at(x.DOME) / at(x.DISC), 2, 0.6);
});

test("[P13] a black room gives nothing back, and a panel's first bounce in it is bounce.ts's own", () => {
  const black: x.RoomBox = { ...studio, reflectance: even(0) };
  const geometry = x.roomGeometry(black, [card], { wallM: 1, panelM: 0.15 });
  const share = x.roomShare(x.solveRoom(geometry, box), x.gatherRoom(geometry, [0, 1.3, 0], Z, x.DOME));
  assert.equal(share.walls, 0);
  nearStops(share.panels, x.panelFactor(box, card, [0, 1.3, 0], Z, x.DOME), 0.03);
});

test("[P13] a black flag beside the sitter takes room light; finer patches change the room's share little", () => {
  const point: Vec3 = [0, 1.3, 0];
  const flag = x.makePanel({ centre: [-0.4, 1.3, 0], normal: [1, 0, 0] }, 1.2, 2.4, 0.03, "matt");
  const share = (panels: x.ReflectingPanel[], wallM: number): number => {
    const geometry = x.roomGeometry(studio, panels, { wallM, panelM: 0.6 });
    return x.roomShare(x.solveRoom(geometry, box), x.gatherRoom(geometry, point, Z, x.DOME)).walls;
  };
  const open = share([], 1);
  assert.ok(share([flag], 1) < 0.85 * open);
  nearStops(share([], 0.7), open, 0.1);
});

test("[P13] a light and a meter of different rooms are a programmer's mistake", () => {
  const [a, b] = [x.roomGeometry(cube(0.5)), x.roomGeometry(cube(0.5))];
  assert.throws(() => x.roomShare(x.solveRoom(a, box), x.gatherRoom(b, [0, 1, 0], Z, x.DISC)), RangeError);
  assert.ok(length(subtract(box.centre, [0, 0, 0])) > 1);
});

test("[P13] a hall and a hundred panels are cut into a bounded number of patches; a hall's light obeys its own sum", () => {
  const hall: x.RoomBox = {
    min: [-15, 0, -15],
    max: [15, 12, 15],
    reflectance: { ceiling: 0.6, floor: 0.6, left: 0.6, right: 0.6, back: 0.6, front: 0.6 },
  };
  const geometry = x.roomGeometry(hall);
  assert.ok(geometry.patches.length < 260, `${geometry.patches.length} patches`);
  // Integrating sphere series applied to a box of one reflectance: what the walls swallow is what was sent out.
  const light = x.rectangleFront({ centre: [0, 3, 0], normal: [0, 0, 1], up: [0, 1, 0] }, 1, 1);
  const { exitance } = x.solveRoom(geometry, light);
  let swallowed = 0;
  geometry.patches.forEach((patch, i) => {
    swallowed += ((exitance[i] as number) * (1 - 0.6) * patch.areaM2) / 0.6;
  });
  near(swallowed, 1, 0.01);
  const many = Array.from({ length: 100 }, (_, i) =>
    x.makePanel({ centre: [i / 10 - 5, 1, 1], normal: [0, 0, 1] }, 1, 2, 0.8, "matt"),
  );
  const sizes = x.patchSizesFor(hall, many);
  assert.ok((100 * 2 * 2) / sizes.panelM ** 2 < 200);
});
