/** What the report says of dials, spectacles, the lens, the room, the shutter and the meter, as cautions with mends. */

import type { Light } from "../setup/index.ts";
import { asPolar, mainOf, panelTargetAv, positionOf, targetAv } from "../setup/index.ts";
import { aboutLight, aboutRoom, aboutSetup, type Finding, figure, finding, joined, type Proposal } from "./finding.ts";
import { raised, swungRound } from "./moves.ts";
import type { CareReport, CareWayOut } from "./types.ts";
import type { World } from "./world.ts";

export function reportFindings(world: World): readonly Finding[] {
  return [
    ...world.report.lights.flatMap((each) => dial(world, each)),
    ...world.report.glare.flatMap((each) => (each.shows ? glare(world, each) : [])),
    ...flare(world),
    ...roomLight(world),
    ...sync(world),
    ...receptors(world),
  ];
}

const lightOf = (world: World, id: string): Light | undefined => world.setup.lights.find((light) => light.id === id);

/** dial:LIGHT where the head cannot reach its target. */
function dial(world: World, report: CareReport["lights"][number]): readonly Finding[] {
  const light = lightOf(world, report.lightId);
  const turn = report.turn ?? report.plan;
  if (light === undefined || !light.on || (turn.state !== "over" && turn.state !== "short")) return [];
  const over = turn.state === "over";
  const by = Math.abs(turn.residualStops).toFixed(1);
  const end = over ? `at its lowest dial, ${turn.dialTo}` : `at full, ${turn.dialTo}`;
  return [
    finding({
      id: `dial:${light.id}`,
      level: light.accepted ? "note" : "stop",
      topic: "dial",
      about: aboutLight(light),
      what: `${light.tag} ${end}, is ${by} ${over ? "over" : "short"}`,
      why: over
        ? "The head goes no lower: take light away, or move it back."
        : "The head gives no more: nearer, less cloth, or more from the camera.",
      source: "the prediction's ledger",
      figures: [figure("left over", turn.residualStops, "stops", 0)],
      proposals: () => report.waysOut.filter(({ fits }) => fits).map(wayProposal),
    }),
  ];
}

/** A way out was proved by the predictor on its own; where it moves nothing else, care takes its word for the light. */
const wayProposal = (way: CareWayOut): Proposal => ({
  edits: way.edits,
  steps: way.note === "" ? [] : [way.note],
  words: () => ({ label: way.label, leaves: wayLeaves(way) }),
  provedByReport: way.kind !== "distance" && way.kind !== "grid",
});

function wayLeaves(way: CareWayOut): string {
  const left =
    Math.abs(way.residualStops) < 0.05 ? "on target" : `${way.residualStops.toFixed(1)} stops from the target`;
  const softer = Math.round(way.softnessPercent);
  return softer === 0 ? left : `${left}; front ${Math.abs(softer)} % ${softer > 0 ? "larger" : "smaller"} as seen`;
}

/** glare:LIGHT; advice in the order of the trade: chin and temples, raise, out, each proved. */
function glare(world: World, { lightId, where }: CareReport["glare"][number]): readonly Finding[] {
  const light = lightOf(world, lightId);
  if (light === undefined || !light.on) return [];
  return [
    finding({
      id: `glare:${lightId}`,
      level: "care",
      topic: "glare",
      about: aboutLight(light),
      what: `Spectacles show ${light.tag}, ${where}`,
      why: "The front mirrors in the lens and hides the eye.",
      source: "mirror law on the lens's curve",
      proposals: () => [...chinAndTemples(world), ...outOfLens(world, light)],
    }),
  ];
}

function chinAndTemples(world: World): readonly Proposal[] {
  const { spectacles, headPitchDeg } = world.setup.subject;
  if (spectacles === null) return [];
  return (
    [
      [0, 5],
      [5, 0],
      [5, 5],
      [8, 5],
    ] as const
  ).map(([chin, temples]): Proposal => {
    const words = [chin > 0 ? `chin ${chin}° down` : "", temples > 0 ? `temples ${temples}° up` : ""].filter(
      (w) => w !== "",
    );
    return {
      edits: [
        {
          kind: "subject",
          set: {
            headPitchDeg: headPitchDeg - chin,
            spectacles: { ...spectacles, tiltDeg: spectacles.tiltDeg + temples },
          },
        },
      ],
      steps: temples > 0 ? ["Tip the arms of the spectacles up over the ears; a little tape holds them."] : [],
      words: () => ({ label: words.join(", "), leaves: "no front shows in the lenses" }),
    };
  });
}

function outOfLens(world: World, light: Light): readonly Proposal[] {
  const up = upOrDown(world, light, [0.1, 0.2, 0.3, 0.4], "out of the lenses");
  return [...up, ...outward(world, light, [10, 20, 30], "out of the lenses")];
}

function upOrDown(world: World, light: Light, moves: readonly number[], leaves: string): readonly Proposal[] {
  return moves.flatMap((byM): readonly Proposal[] => {
    const edit = raised(world.setup, light, byM);
    const label = `${light.tag} ${Math.abs(byM).toFixed(1)} m ${byM > 0 ? "higher" : "lower"}`;
    return edit === null ? [] : [{ edits: [edit], words: () => ({ label, leaves }) }];
  });
}

/** Farther from the camera's axis, round the nose. */
function outward(world: World, light: Light, turns: readonly number[], leaves: string): readonly Proposal[] {
  const place = asPolar(light.place, world.setup);
  const azimuth = place.kind === "polar" ? place.azimuthDeg : 0;
  return turns.map((deg) => {
    const { edit, movedM } = swungRound(world.setup, light, azimuth < 0 ? -deg : deg);
    return {
      edits: [edit],
      words: () => ({
        label: `${light.tag} ${deg}° round the nose to camera ${azimuth < 0 ? "left" : "right"}, ${movedM.toFixed(1)} m`,
        leaves,
      }),
    };
  });
}

/** flare:LIGHT where a front shines into the lens or stands in the picture; one line for those that are clear by their grid. */
function flare(world: World): readonly Finding[] {
  const found: Finding[] = [];
  const clear: string[] = [];
  for (const each of world.report.flare) {
    const light = lightOf(world, each.lightId);
    if (light === undefined || !light.on) continue;
    if (each.state === "at risk" || each.state === "in frame") found.push(flareFinding(world, light, each));
    else if (each.state === "clear" && each.outsideCutoffDeg !== null && each.outsideCutoffDeg >= 0) {
      clear.push(`${light.tag}'s by ${each.outsideCutoffDeg.toFixed(1)}°`);
    }
  }
  if (found.length === 0 && clear.length > 0) {
    found.push(
      finding({
        id: "flare:setup",
        level: "done",
        topic: "flare",
        about: aboutSetup,
        what: `Flare: the lens is outside the grid cut-off, ${joined(clear)}`,
        why: "No line runs from a lit cell into the lens.",
        source: "cell geometry: atan(width/depth)",
      }),
    );
  }
  return found;
}

function flareFinding(world: World, light: Light, each: CareReport["flare"][number]): Finding {
  const inFrame = each.state === "in frame";
  return finding({
    id: `flare:${light.id}`,
    level: "care",
    topic: "flare",
    about: aboutLight(light),
    what: inFrame ? `${light.tag} stands in the picture` : each.words,
    why: inFrame
      ? "The frame shows the front."
      : "Stray light in the lens lifts every shadow. A hood or a flag serves too; look through the lens.",
    source: "projection into the frame; light at the lens more than 3 stops under the face: common practice, no source",
    proposals: () => {
      const { yM } = world.setup.camera.aim;
      const below = positionOf(light.place, world.setup)[1] < yM;
      return [
        ...upOrDown(world, light, below ? [-0.1, -0.2, -0.3] : [0.1, 0.2, 0.3, 0.4], "off the lens"),
        ...outward(world, light, [5, 10, 15], "off the lens"),
      ];
    },
  });
}

/** The room's own light against the fill: what it adds in the shadow, log2(1 + 2^−difference). */
function roomLight(world: World): readonly Finding[] {
  const { setup, report } = world;
  const under = report.room.underWorkingStops;
  const main = mainOf(setup);
  const fill = setup.lights.find(({ role, on }) => on && role === "fill");
  const card = setup.panels.find((panel) => panel.role === "card" && panel.target !== null);
  if (under === null || main === undefined) return [];
  const { apertureAv } = setup.exposure;
  const fillAv = fill !== undefined ? targetAv(setup, fill) : card !== undefined ? panelTargetAv(setup, card) : null;
  const underMain = under - (apertureAv - targetAv(setup, main));
  const head = `Room light ${apart(underMain)} ${main.tag}`;
  const tag = fill?.tag ?? card?.tag ?? "";
  const underFill = fillAv === null ? null : under - (apertureAv - fillAv);
  const adds = underFill === null ? 0 : Math.log2(1 + 2 ** -underFill);
  return [
    finding({
      id: "room-light:room",
      level: "note",
      topic: "room-light",
      about: aboutRoom,
      what:
        underFill === null
          ? `${head}: it is the floor of every shadow`
          : `${head} is ${apart(underFill)} ${tag}: +${adds.toFixed(2)} in the shadow`,
      why: "Walls and ceiling fill too: black panels or a darker room take it away, and it is another one in another room.",
      source: "sum of light: log2(1 + 2^−difference)",
      figures: [figure("room light under the main", underMain, "stops"), figure("adds to the shadow", adds, "stops")],
    }),
  ];
}

/** "0.9 under", or "0.1 over" where the room is the stronger. */
const apart = (under: number): string => `${Math.abs(under).toFixed(1)} ${under < -0.05 ? "over" : "under"}`;

function sync(world: World): readonly Finding[] {
  const fault = world.report.camera.syncFault;
  if (fault === null) return [];
  const { syncS } = world.setup.camera;
  const mark = `1/${Math.round(1 / syncS)}`;
  return [
    finding({
      id: "sync:camera",
      level: "stop",
      topic: "sync",
      about: { kind: "camera", id: world.setup.camera.id, tag: "" },
      what: fault.what,
      why: "The flash falls while one curtain covers part of the frame.",
      source: "the body's sync time",
      figures: [figure("shutter", world.setup.exposure.shutterS, "s", syncS)],
      proposals: () => [
        {
          edits: [{ kind: "exposure", set: { shutterS: syncS, shutterMark: mark } }],
          words: () => ({ label: `shutter ${mark} s`, leaves: "the whole frame lit" }),
        },
      ],
    }),
  ];
}

/** Disc and dome are compared by their constants; on a real meter they differ until somebody tried. */
function receptors(world: World): readonly Finding[] {
  const { meter, lights } = world.setup;
  const used = new Set(lights.filter(({ on }) => on).map(({ meterAt }) => meterAt.receptor));
  if (used.size < 2 || meter.receptorsCompared) return [];
  const apart = Math.log2(meter.domeC / meter.discC);
  return [
    finding({
      id: "meter:receptors",
      level: "care",
      topic: "meter",
      about: aboutSetup,
      what: "Disc and dome are mixed, and were never compared on this meter",
      why: `By their constants they differ by ${apart.toFixed(2)} stops for light from ahead; a real pair may not. Read one light with both, straight on, and write the difference into the meter.`,
      source: "ISO 2720:1974 ranges of C",
      figures: [figure("dome against disc by the constants", apart, "stops")],
      proposals: () => [
        {
          edits: [],
          steps: [
            "Read the main with dome and disc, both straight at it, three pops each.",
            "Enter the difference in Kit & room; it is then taken as compared.",
          ],
          words: () => ({ label: "compare disc and dome", leaves: "one scale for both" }),
        },
      ],
    }),
  ];
}
