/**
 * What the lights of a pattern stand around: the cross in the room, paper, camera, exposure and the sitter. The
 * room's depth is shared out by the picture that the pattern wants; what is too short or too narrow is said.
 */

import { type Fault, fault } from "../units/index.ts";
import * as plain from "./demo-kit.ts";
import type { PatternCard, PatternPlan } from "./patterns.ts";
import { wallClearanceM } from "./space.ts";
import type { Backdrop, Camera, HairClass, Id, Instant, Kit, Room, Setup } from "./types.ts";

export interface PatternRequest {
  readonly kit: Kit;
  readonly room: Room;
  readonly apertureAv: number;
  /** A fresh id at every call. */
  readonly newId: () => Id;
  readonly createdAt?: Instant;
  readonly title?: string;
  readonly hair?: HairClass;
  /** Turns the starting dials (3 stops below full) into those the plan asks for. */
  readonly planDials?: (setup: Setup) => Setup;
}

/** How far the cross is wished from the room's own, m: to camera right, and away from the back wall. */
export interface CrossShift {
  readonly rightM: number;
  readonly forwardM: number;
}

/** Nose height, paper, camera and cross: what the lights stand around. The setup's id is left to the caller. */
export function stage(
  pattern: PatternCard,
  request: PatternRequest,
  paper: Backdrop | null,
  faults: Fault[],
  shift: CrossShift = { rightM: 0, forwardM: 0 },
): Setup {
  const { plan } = pattern;
  const { kit } = request;
  const { room, backdrop, camera } = stageDepth(pattern, request, paper, faults, shift);
  const continuous = plan.medium === "continuous";
  return {
    format: "stopwise-setup",
    version: 1,
    id: "",
    title: request.title ?? pattern.name,
    notes: "",
    tags: [],
    invented: false,
    createdAt: request.createdAt ?? "1970-01-01T00:00:00Z",
    exposure: {
      apertureAv: request.apertureAv,
      iso: continuous ? 800 : 100,
      shutterS: continuous ? 1 / 50 : 1 / 128,
      shutterMark: continuous ? "1/50" : "1/125",
      medium: plan.medium,
      framesPerSecond: continuous ? 25 : null,
      whiteBalanceK: continuous ? 4500 : 5500,
    },
    camera,
    meter: kit.meters[0] ?? { ...plain.meter, id: "plain-meter", name: "plain meter" },
    room,
    backdrop,
    subject: {
      kind: plan.kind,
      pose: plan.pose,
      noseHeightM: plan.noseHeightM,
      headYawDeg: 0,
      headPitchDeg: 0,
      bodyYawDeg: 0,
      hair: request.hair ?? "mid",
      spectacles: null,
      flashSensitive: false,
      group: [],
    },
    sitters: [],
    lights: [],
    panels: [],
    readings: [],
    asShot: [],
  };
}

const behindLensM = 0.5;
const behindPaperM = 0.1;
const nearestCameraM = 1;
const behindSubjectM = 1;

/** Shares the room's depth out: paper behind, camera before; first the paper comes nearer, then the camera. */
function stageDepth(
  { plan, name }: PatternCard,
  { kit, room }: PatternRequest,
  paper: Backdrop | null,
  faults: Fault[],
  shift: CrossShift,
): { room: Room; backdrop: Backdrop | null; camera: Camera } {
  const wish = paper === null || plan.paper === null ? null : plan.paper;
  const roll = wish === null ? 0 : behindPaperM;
  const [backWish, backLeast] = [
    (wish?.behindM ?? behindSubjectM) + roll,
    (wish?.leastM ?? behindSubjectM * 0.7) + roll,
  ];
  const cameras =
    kit.cameras.length > 0 ? kit.cameras : [{ ...plain.camera135, id: "plain-camera", name: "plain 24 × 36 body" }];
  const options = cameras.map((camera) => ({ camera, lensM: lensDistance(camera, plan) }));
  options.sort((a, b) => b.lensM - a.lensM);
  const most = room.depthM - backLeast - behindLensM;
  const choice = options.find(({ lensM }) => lensM <= most) ?? options[options.length - 1];
  if (choice === undefined) throw new RangeError("no camera");
  const lensM = Math.max(Math.min(choice.lensM, most), nearestCameraM);
  const front = lensM + behindLensM;
  const back = Math.min(backWish, Math.max(backLeast, room.depthM - front));
  const wanted = choice.lensM + behindLensM + backLeast;
  if (wanted > room.depthM + 1e-9) {
    const by = (Math.ceil((wanted - room.depthM) * 10 - 1e-6) / 10).toFixed(1);
    const frame = ((plan.frameM * lensM) / choice.lensM).toFixed(2);
    faults.push(
      fault(
        "room-short",
        `${room.name} is ${by} m too short for ${name}`,
        "camera.position",
        `The picture is ${frame} m high instead of ${plan.frameM.toFixed(2)}: use a shorter lens, or a deeper room.`,
      ),
    );
  }
  const camera = aimCamera(choice.camera, plan, lensM);
  const placed: Room = { ...room, ...crossFor(room, back, front, shift) };
  if (paper === null || wish === null) return { room: placed, backdrop: null, camera };
  return { room: placed, backdrop: hangPaper(paper, placed, back - roll, wish.tone, faults), camera };
}

/** The room's own cross with its shift, moved no further than the depth asks; sideways kept off the walls by a third. */
function crossFor(
  room: Room,
  back: number,
  front: number,
  shift: CrossShift,
): Pick<Room, "crossFromLeftM" | "crossFromBackM"> {
  const within = (wish: number, low: number, high: number): number =>
    Math.min(Math.max(wish, low), Math.max(low, high));
  return {
    crossFromLeftM: within(room.crossFromLeftM + shift.rightM, room.widthM / 3, (2 * room.widthM) / 3),
    crossFromBackM: Math.min(within(room.crossFromBackM + shift.forwardM, back, room.depthM - front), room.depthM),
  };
}

/** Distance at which the picture is frameM high: d = f·(1 + W/s). */
function lensDistance(camera: Camera, plan: PatternPlan): number {
  const [long, short] = [
    Math.max(camera.sensorWidthMm, camera.sensorHeightMm),
    Math.min(camera.sensorWidthMm, camera.sensorHeightMm),
  ];
  const sideM = (plan.landscape ? short : long) / 1000;
  return (camera.focalLengthMm / 1000) * (1 + plan.frameM / sideM);
}

function aimCamera(camera: Camera, plan: PatternPlan, lensM: number): Camera {
  const level = plan.noseHeightM;
  // A head and shoulders hang an eighth of the picture below the nose; an object stands in its middle.
  const drop = plan.kind === "object" ? 0 : plan.frameM / 8;
  return {
    ...camera,
    upright: !plan.landscape,
    position: { xM: 0, yM: level, zM: lensM },
    aim: { xM: 0, yM: level - drop, zM: 0 },
  };
}

function hangPaper(paper: Backdrop, room: Room, behindM: number, tone: number | null, faults: Fault[]): Backdrop {
  const heightM = Math.min(paper.heightM, room.heightM - wallClearanceM);
  const middle = room.widthM / 2 - room.crossFromLeftM;
  const spare = room.widthM - 2 * wallClearanceM - paper.widthM;
  if (spare < 0) {
    faults.push(
      fault(
        "room-narrow",
        `${paper.name} is wider than ${room.name} by ${(-spare).toFixed(2)} m`,
        "backdrop.widthM",
        "Cut the roll, or use a narrower one: it is planned as wide as fits.",
      ),
    );
  }
  const widthM = Math.min(paper.widthM, room.widthM - 2 * wallClearanceM);
  const play = Math.max(0, (room.widthM - 2 * wallClearanceM - widthM) / 2);
  return {
    ...paper,
    widthM,
    heightM,
    xM: Math.min(Math.max(0, middle - play), middle + play),
    zM: -behindM,
    targetTone: tone,
  };
}
