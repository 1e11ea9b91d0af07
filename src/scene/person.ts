/**
 * One sitter in the world: head, eyes, hair, spectacles and body, turned as the setup says. The nose tip is the
 * origin of the head's frame and lands on the sitter's nose point whatever the pose; the neck bends from the
 * head's turn to the body's. The unposed head is sculpted once per fineness and kept.
 */

import { directionOf, type HairClass, headOf, type Setup, type Spectacles } from "../setup/index.ts";
import type { Vec3 } from "../units/index.ts";
import type { Piece } from "./assemble.ts";
import { finish, type Part, tinted } from "./part.ts";
import { bodyParts } from "./sculpt/body-mesh.ts";
import { complexion } from "./sculpt/complexion.ts";
import { earPart } from "./sculpt/ear.ts";
import { eyeParts } from "./sculpt/eye.ts";
import { fineHairs } from "./sculpt/fine-hairs.ts";
import { hairParts } from "./sculpt/hair-mesh.ts";
import { eyeMm } from "./sculpt/head-field.ts";
import { headDraft } from "./sculpt/head-mesh.ts";
import { spectacleParts } from "./spectacles.ts";
import type { HairCut, Rgb, SceneOptions } from "./types.ts";

export interface Gaze {
  readonly azimuthDeg: number;
  readonly elevationDeg: number;
}

export interface PersonLook {
  readonly cut: HairCut;
  readonly hair: HairClass;
  readonly spectacles: Spectacles | null;
  readonly detail: "full" | "low";
}

/** Where the neck begins and ends to take the body's turn, mm below the nose tip. */
const bendFrom = -75;
const bendTo = -170;
/** Eyes turn no further than this, degrees. */
const gazeLimitDeg = 30;
const irisColour: Rgb = [0.1, 0.062, 0.036];

/** The sitter whose nose tip stands at `nose`, without eyes; `mark` tells the sitters of a group apart. */
export function personPieces(setup: Setup, nose: Vec3, look: PersonLook, mark: string): readonly Piece[] {
  const place = placer(setup, nose);
  const template = templateOf(look.detail);
  const covered = look.cut === "bob" || look.cut === "long";
  const fine = { ...template.fine, material: `brow:${look.hair}` };
  const head = [template.head, ...(covered ? [] : template.ears), fine];
  const piece = (name: string, kind: Piece["kind"], parts: readonly Part[]): Piece => ({
    name: `${name}${mark}`,
    kind,
    ownerId: null,
    parts: parts.map((part) => posed(part, place)),
  });
  const hair = hairOf(look.cut, look.detail).map((part, tone) => ({ ...part, material: `hair:${look.hair}:${tone}` }));
  const body = bodyOfPose(setup, nose, look.detail).map((part) => moved(part, ([x, y, z]) => [x, y, z - 125]));
  return [
    piece("head", "head", head),
    piece("hair", "hair", hair),
    ...(look.spectacles === null ? [] : [piece("spectacles", "spectacles", spectacleParts(look.spectacles))]),
    { ...piece("body", "body", []), parts: body.map((part) => posed(part, place, 1)) },
  ];
}

/** Both eyes of a sitter: they look at a point of the world (m), or straight out of the head but for a turn. */
export function eyesPiece(setup: Setup, nose: Vec3, lookAt: Vec3 | Gaze, mark: string): Piece {
  const place = placer(setup, nose);
  eye ??= eyeParts(irisColour);
  const parts = [1, -1].flatMap((side) => turnedEye(setup, nose, lookAt, side as 1 | -1, eye!));
  return { name: `eyes${mark}`, kind: "eyes", ownerId: null, parts: parts.map((part) => posed(part, place)) };
}

/**
 * How sitter number i of a group looks. A group takes hair and spectacles from the setup's list of sitters where
 * that names as many as sit together; one sitter alone is the subject. Cuts differ by place.
 */
export function lookOf(setup: Setup, options: SceneOptions, i: number): PersonLook {
  const { subject, sitters } = setup;
  const count = Math.max(1, subject.group.length);
  const named = count > 1 && sitters.length >= count ? inOrder(sitters)[i] : undefined;
  const first = cuts.indexOf(options.cut ?? "bob");
  const spectacles = named === undefined || named.spectacles === (subject.spectacles !== null);
  return {
    cut: cuts[(first + i) % cuts.length]!,
    hair: options.hair ?? named?.hair ?? subject.hair,
    spectacles: spectacles ? subject.spectacles : named.spectacles ? usualSpectacles : null,
    detail: options.detail ?? (count > 2 ? "low" : "full"),
  };
}

const cuts: readonly HairCut[] = ["bob", "short", "tied", "long"];
/** Tilt and base curve where a sitter wears spectacles of which no more is known (usual values, domain 7.5). */
const usualSpectacles: Spectacles = { tiltDeg: 8, baseCurveD: 6 };

const inOrder = (sitters: Setup["sitters"]): Setup["sitters"] =>
  [...sitters].sort((a, b) => (a.order < b.order ? -1 : a.order > b.order ? 1 : 0));

interface Template {
  readonly head: Part;
  readonly ears: readonly Part[];
  readonly fine: Part;
}

let eye: readonly Part[] | null = null;
const templates = new Map<string, Template>();
const hairs = new Map<string, readonly Part[]>();
const bodies = new Map<string, readonly Part[]>();

/** A value made once per key: shapes depend on nothing else. */
function kept<T>(store: Map<string, T>, key: string, make: () => T): T {
  let value = store.get(key);
  if (value === undefined) {
    value = make();
    store.set(key, value);
  }
  return value;
}

function templateOf(detail: "full" | "low"): Template {
  return kept(templates, detail, () => {
    const full = detail === "full";
    const draft = headDraft(
      full ? { rows: 150, halfColumns: 74, lidRings: 12 } : { rows: 80, halfColumns: 42, lidRings: 8 },
    );
    const stained = (part: Part): Part => tinted(part, complexion);
    return {
      head: stained(finish(draft, "skin")),
      ears: ([1, -1] as const).map((side) => stained(earPart(side, full ? [26, 56] : [14, 30]))),
      fine: fineHairs(full ? 1 : 0.4),
    };
  });
}

function hairOf(cut: HairCut, detail: "full" | "low"): readonly Part[] {
  const fineness = detail === "full" ? { share: 1, along: 10, across: 4 } : { share: 0.32, along: 6, across: 3 };
  return kept(hairs, `${cut} ${detail}`, () => hairParts(cut, fineness));
}

function bodyOfPose(setup: Setup, nose: Vec3, detail: "full" | "low"): readonly Part[] {
  const pose = { seated: setup.subject.pose === "seated", noseHeightMm: Math.round(nose[1] * 1000) };
  const fineness = detail === "full" ? { rows: 46, columns: 80 } : { rows: 32, columns: 56 };
  return kept(bodies, `${pose.seated} ${pose.noseHeightMm} ${detail}`, () => {
    // A child's or an odd setup's nose near the floor leaves no room for legs: keep them above it.
    if (bodies.size > 40) bodies.clear();
    return bodyParts({ ...pose, noseHeightMm: Math.max(900, pose.noseHeightMm) }, fineness);
  });
}

/** From the head's frame (mm) to the world (m). `share` 0: with the head, 1: with the body. */
type Placer = (p: Vec3, share: number) => Vec3;

function placer(setup: Setup, nose: Vec3): Placer {
  const head = headOf(setup);
  if (head === null) throw new RangeError("an object has no head");
  const offset: Vec3 = [nose[0] - head.nose[0], nose[1] - head.nose[1], nose[2] - head.nose[2]];
  const { right, up, forward, earAxis } = head;
  const yaw = (setup.subject.bodyYawDeg * Math.PI) / 180;
  const [sin, cos] = [Math.sin(yaw), Math.cos(yaw)];
  return ([x, y, z], share) => {
    const [a, b, c] = [x / 1000, y / 1000, z / 1000];
    const withHead: Vec3 = [
      nose[0] + a * right[0] + b * up[0] + c * forward[0],
      nose[1] + a * right[1] + b * up[1] + c * forward[1],
      nose[2] + a * right[2] + b * up[2] + c * forward[2],
    ];
    if (share === 0) return withHead;
    const d = c + 0.125;
    const withBody: Vec3 = [
      earAxis[0] + offset[0] + a * cos + d * sin,
      nose[1] + b,
      earAxis[2] + offset[2] - a * sin + d * cos,
    ];
    return [0, 1, 2].map((k) => withHead[k]! + share * (withBody[k]! - withHead[k]!)) as unknown as Vec3;
  };
}

/** How far a point of the head's frame goes with the body. */
function bend(y: number): number {
  const t = Math.min(1, Math.max(0, (bendFrom - y) / (bendFrom - bendTo)));
  return t * t * (3 - 2 * t);
}

/** The part in the world; directions turn with their point. */
function posed(part: Part, place: Placer, fixed?: number): Part {
  const positions = new Float32Array(part.positions.length);
  const normals = new Float32Array(part.positions.length);
  const tangents = part.tangents === null ? null : new Float32Array(part.positions.length);
  for (let i = 0; i < positions.length; i += 3) {
    const p: Vec3 = [part.positions[i]!, part.positions[i + 1]!, part.positions[i + 2]!];
    const share = fixed ?? bend(p[1]);
    const at = place(p, share);
    positions.set(at, i);
    turn(part.normals, normals, i, p, at, share, place);
    if (tangents !== null && part.tangents !== null) turn(part.tangents, tangents, i, p, at, share, place);
  }
  return { ...part, positions, normals, tangents };
}

function turn(from: Float32Array, to: Float32Array, i: number, p: Vec3, at: Vec3, share: number, place: Placer): void {
  const tip = place([p[0] + from[i]!, p[1] + from[i + 1]!, p[2] + from[i + 2]!], share);
  const [x, y, z] = [tip[0] - at[0], tip[1] - at[1], tip[2] - at[2]];
  const l = Math.hypot(x, y, z) || 1;
  to[i] = x / l;
  to[i + 1] = y / l;
  to[i + 2] = z / l;
}

/** An eye in the head's frame, turned to what it looks at. */
function turnedEye(setup: Setup, nose: Vec3, lookAt: Vec3 | Gaze, side: 1 | -1, eye: readonly Part[]): readonly Part[] {
  const centre: Vec3 = [side * eyeMm.x, eyeMm.y, eyeMm.z];
  const forward = "azimuthDeg" in lookAt ? gazeDirection(lookAt) : towards(setup, nose, centre, lookAt);
  const across = unit([forward[2], 0, -forward[0]]);
  const up: Vec3 = [
    forward[1] * across[2] - forward[2] * across[1],
    forward[2] * across[0] - forward[0] * across[2],
    forward[0] * across[1] - forward[1] * across[0],
  ];
  return eye.map((part) =>
    moved(part, ([x, y, z]) => [
      centre[0] + x * across[0] + y * up[0] + z * forward[0],
      centre[1] + x * across[1] + y * up[1] + z * forward[1],
      centre[2] + x * across[2] + y * up[2] + z * forward[2],
    ]),
  );
}

/** Direction in the head's frame from an eye to a point of the world, no further aside than eyes turn. */
function towards(setup: Setup, nose: Vec3, centre: Vec3, target: Vec3): Vec3 {
  const head = headOf(setup)!;
  const d: Vec3 = [target[0] - nose[0], target[1] - nose[1], target[2] - nose[2]];
  const along = (axis: Vec3, k: 0 | 1 | 2): number =>
    1000 * (d[0] * axis[0] + d[1] * axis[1] + d[2] * axis[2]) - centre[k];
  const [x, y, z] = [along(head.right, 0), along(head.up, 1), along(head.forward, 2)];
  const azimuthDeg = (Math.atan2(x, z) * 180) / Math.PI;
  const elevationDeg = (Math.atan2(y, Math.hypot(x, z)) * 180) / Math.PI;
  return gazeDirection({ azimuthDeg, elevationDeg });
}

function gazeDirection({ azimuthDeg, elevationDeg }: Gaze): Vec3 {
  const limit = (a: number): number => Math.min(gazeLimitDeg, Math.max(-gazeLimitDeg, a));
  return directionOf(limit(azimuthDeg), limit(elevationDeg));
}

/** The part under a rigid motion. */
function moved(part: Part, motion: (p: Vec3) => Vec3): Part {
  const zero = motion([0, 0, 0]);
  const positions = new Float32Array(part.positions.length);
  const normals = new Float32Array(part.positions.length);
  for (let i = 0; i < positions.length; i += 3) {
    positions.set(motion([part.positions[i]!, part.positions[i + 1]!, part.positions[i + 2]!]), i);
    const n = motion([part.normals[i]!, part.normals[i + 1]!, part.normals[i + 2]!]);
    normals.set([n[0] - zero[0], n[1] - zero[1], n[2] - zero[2]], i);
  }
  return { ...part, positions, normals };
}

function unit(a: Vec3): Vec3 {
  const l = Math.hypot(...a) || 1;
  return [a[0] / l, a[1] / l, a[2] / l];
}
