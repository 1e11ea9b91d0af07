/**
 * Choosing from the kit what a pattern asks for. Heads go to the main first, the most powerful to those who
 * need most light; fronts go by area, shape and grid. What the kit lacks is planned with a plain piece
 * of usual size, and said: it has to be borrowed.
 */

import { type Fault, fault } from "../units/index.ts";
import * as plain from "./demo-kit.ts";
import type { FrontWish, PatternLight, PatternPanel } from "./patterns.ts";
import type { Backdrop, Head, Id, Kit, KitPanel, Modifier, Support } from "./types.ts";

/** One light's things, and which of its like heads it is. */
export interface Picked {
  readonly head: Head;
  readonly unit: number | null;
  readonly modifier: Modifier;
  readonly support: Support;
}

/** Counts down what is left of a kit. */
export class Shelf {
  readonly faults: Fault[] = [];
  readonly #kit: Kit;
  readonly #taken = new Map<string, number>();

  constructor(kit: Kit) {
    this.#kit = kit;
  }

  /** Head, front and support for one light of a pattern. */
  light(wish: PatternLight, medium: "flash" | "continuous", where: string): Picked {
    const head = this.#head(wish, medium, where);
    const modifier = this.#front(wish, medium, where);
    const support = this.#support(wish, where);
    return { ...head, modifier, support };
  }

  panel(wish: PatternPanel, where: string): KitPanel {
    const free = this.#free("panel", this.#kit.panels).filter((panel) => panel.role === wish.role);
    const best = free.sort((a, b) => b.widthM * b.heightM - a.widthM * a.heightM)[0];
    if (best !== undefined) return this.#take("panel", best);
    this.#lacks(wish.role === "card" ? "white card" : "black panel", where);
    return asPlain(wish.role === "card" ? plain.whiteCard : plain.blackPanel);
  }

  /** The paper nearest in tone to the wish; null, with a fault, when the kit has none within a stop and a half. */
  backdrop(reflectance: number): Backdrop | null {
    const off = (paper: Backdrop): number => Math.abs(Math.log2(paper.reflectance / reflectance));
    const best = [...this.#kit.backdrops].sort((a, b) => off(a) - off(b))[0];
    if (best !== undefined && off(best) <= 1.5) return best;
    const tone = reflectance > 0.5 ? "white" : reflectance < 0.1 ? "black" : "grey";
    const mend = best === undefined ? "The back wall stands in for it." : `${best.name} stands in for it.`;
    this.faults.push(fault("kit-lacks", `The kit has no ${tone} paper`, "backdrop", mend));
    return best ?? null;
  }

  #head(wish: PatternLight, medium: "flash" | "continuous", where: string): { head: Head; unit: number | null } {
    const power = (head: Head): number => (head.energyWs ?? head.powerW ?? 0) * head.efficacy;
    // Lights that are set far under the main do with less; small heads serve the edge and the ground.
    const modest = wish.role === "edge" || wish.role === "background";
    const free = this.#free("head", this.#kit.heads).filter((head) => head.kind === medium);
    const worth = free.filter((head) => power(head) >= (modest ? 0.3 : 0.6) * Math.max(...free.map(power)));
    const best = worth.sort((a, b) => (modest ? power(a) - power(b) : power(b) - power(a)))[0];
    if (best !== undefined) {
      this.#take("head", best);
      return { head: best, unit: best.count > 1 ? (this.#taken.get(`head:${best.id}`) ?? null) : null };
    }
    const stand = medium === "flash" ? plain.mainsHead : plain.ledPanel;
    this.#lacks(medium === "flash" ? "flash head" : "LED panel", where);
    return { head: asPlain(stand), unit: null };
  }

  #front(wish: PatternLight, medium: "flash" | "continuous", where: string): Modifier {
    // A front without mass is a head's own face: fit for a panel, a last resort on a flash head.
    const cost = (front: Modifier): number =>
      wishCost(front, wish.front) + (front.massKg === 0 && medium === "flash" ? 4 : 0);
    const best = this.#free("front", this.#kit.modifiers).sort((a, b) => cost(a) - cost(b))[0];
    if (best !== undefined && cost(best) < (medium === "flash" ? 6 : 1)) return this.#take("front", best);
    const flashFronts = [plain.octa90, plain.octa150, plain.strip120, plain.strip90, plain.dish18];
    const usual = medium === "flash" ? flashFronts : [plain.panelFace];
    const stand = usual.sort((a, b) => wishCost(a, wish.front) - wishCost(b, wish.front))[0] ?? plain.octa90;
    this.#lacks(stand.name, where);
    return asPlain(stand);
  }

  #support(wish: PatternLight, where: string): Support {
    const kind = wish.boom ? "boom" : "stand";
    const best = this.#free("support", this.#kit.supports)
      .filter((support) => support.kind === kind)
      .sort((a, b) => b.maxHeightM - a.maxHeightM)[0];
    if (best !== undefined) return this.#take("support", best);
    this.#lacks(wish.boom ? "boom stand" : "light stand", where);
    return asPlain(wish.boom ? plain.boomStand : plain.lightStand);
  }

  #free<T extends { readonly id: Id; readonly count: number }>(kind: string, items: readonly T[]): T[] {
    return items.filter((item) => (this.#taken.get(`${kind}:${item.id}`) ?? 0) < item.count);
  }

  #take<T extends { readonly id: Id }>(kind: string, item: T): T {
    const key = `${kind}:${item.id}`;
    this.#taken.set(key, (this.#taken.get(key) ?? 0) + 1);
    return item;
  }

  #lacks(name: string, where: string): void {
    this.faults.push(
      fault("kit-lacks", `The kit has no ${name} left for this`, where, "Borrow one: a plain one is planned here."),
    );
  }
}

/** A piece that nobody owns yet: its own id, nothing learned. */
function asPlain<T extends { readonly id: Id; readonly name: string }>(item: T): T {
  const learned = "learnedStops" in item ? { learnedStops: 0, learnedReadings: 0 } : {};
  const table = "dialTable" in item ? { dialTable: [] } : {};
  return { ...item, id: `plain-${item.id}`, name: `plain ${item.name}`, ...learned, ...table };
}

/** How far a front is from the wish: stops of area, doublings of aspect, a grid too many or too few. */
function wishCost(front: Modifier, wish: FrontWish): number {
  const [long, short] = [Math.max(front.widthM, front.heightM), Math.min(front.widthM, front.heightM)];
  const area = Math.max(long * Math.max(short, 0.001), 1e-4);
  const aspect = long / Math.max(short, 0.001);
  const grid = wish.grid === (front.grid !== null) ? 0 : wish.grid ? 1 : 2;
  return Math.abs(Math.log2(area / wish.areaM2)) + Math.abs(Math.log2(aspect / wish.aspect)) + grid;
}
