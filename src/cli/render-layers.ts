/**
 * Float layers of a picture in a folder: one PFM or OpenEXR file a light, linear Rec. 709 at unit output, and
 * layers.json, which says how they make the picture. All files or none.
 */

import { mkdirSync, rmdirSync, rmSync, statSync } from "node:fs";
import { dirname, join, resolve } from "node:path";
import type { Setup } from "../setup/index.ts";
import { failure, fault, type Result, success } from "../units/index.ts";
import { type SetupPicture, writeExr, writePfm } from "../work/index.ts";
import { openFault } from "./input.ts";
import { checkNewFile, writeNewFile } from "./output.ts";

const LIST = "layers.json";
const AMBIENT = "ambient";
/** How the picture is made of the layers: said in the file itself, for who finds it alone. */
const FORMULA =
  "linear = sum over layers that are on of layer * output * tint, times 2^-cameraOffsetStops / referenceLxS; " +
  "an 18 % card at the working aperture is 0.18, 1 clips";

/** File by layer id. Tags may hold any letters, so a number leads and only plain letters are kept. */
export function layerFileNames(setup: Setup, exr: boolean): ReadonlyMap<string, string> {
  const ending = exr ? "exr" : "pfm";
  const files = setup.lights.map(({ id, tag }, i): [string, string] => {
    const plain = tag.replace(/[^A-Za-z0-9]/g, "");
    return [id, `${i + 1}${plain === "" ? "" : `-${plain}`}.${ending}`];
  });
  const ambient: [string, string][] = (setup.room.ambientLx ?? 0) > 0 ? [[AMBIENT, `${AMBIENT}.${ending}`]] : [];
  return new Map([...files, ...ambient]);
}

/** Whether all of them may be written: the folder is there or can be made, and the names in it are free. */
export function checkLayerFiles(folder: string, names: ReadonlyMap<string, string>): Result<null> {
  try {
    const full = resolve(folder);
    const there = statSync(full, { throwIfNoEntry: false });
    if (there === undefined) {
      if (statSync(dirname(full)).isDirectory()) return success(null);
      return failure(fault("no-folder", "The folder is no folder", folder, "Choose another name."));
    }
    if (!there.isDirectory()) {
      return failure(fault("no-folder", "This is a file, not a folder", folder, "Name a folder, or a new one."));
    }
  } catch (error) {
    if (folder.includes("\0"))
      return failure(fault("no-file", "No folder has such a name", "--layers", "Check the name."));
    return failure(openFault(error, folder));
  }
  const taken = [...names.values(), LIST].flatMap((name) => {
    const free = checkNewFile(join(folder, name));
    return free.ok ? [] : free.faults;
  });
  return taken.length === 0 ? success(null) : failure(...taken);
}

/** Writes them; takes back what it wrote when one cannot be. Gives the names. */
export async function writeLayers(
  folder: string,
  setup: Setup,
  picture: SetupPicture,
  { exr, filter }: { readonly exr: boolean; readonly filter: boolean },
): Promise<Result<readonly string[]>> {
  const names = layerFileNames(setup, exr);
  const checked = checkLayerFiles(folder, names);
  if (!checked.ok) return checked;
  const files = await filesOf(setup, picture, names, exr);
  const made = statSync(folder, { throwIfNoEntry: false }) === undefined;
  const written: string[] = [];
  const put = (name: string, content: string | Uint8Array): Result<string> => {
    const done = writeNewFile(join(folder, name), content);
    if (done.ok) written.push(name);
    return done;
  };
  const all = (): Result<readonly string[]> => {
    if (made) mkdirSync(folder);
    for (const [name, content] of files) {
      const done = put(name, content);
      if (!done.ok) return done;
    }
    const done = put(LIST, `${JSON.stringify(listOf(setup, picture, names, filter), null, 2)}\n`);
    return done.ok ? success(written) : done;
  };
  const result = attempt(all, folder);
  if (!result.ok) {
    for (const name of written) rmSync(join(folder, name), { force: true });
    if (made) attempt(() => success(rmdirSync(folder)), folder);
  }
  return result;
}

/** Name and content of each layer's file. */
async function filesOf(
  setup: Setup,
  picture: SetupPicture,
  names: ReadonlyMap<string, string>,
  exr: boolean,
): Promise<readonly (readonly [string, Uint8Array])[]> {
  const tags = new Map(setup.lights.map(({ id, tag }) => [id, tag]));
  const files: (readonly [string, Uint8Array])[] = [];
  for (const { lightId, rgb, width, height } of picture.layers) {
    const tag = tags.get(lightId);
    const words = tag === undefined ? `${AMBIENT}, per lx·s` : `${tag}, per lm·s`;
    const content = exr ? await writeExr(rgb, width, height, words) : writePfm(rgb, width, height);
    files.push([names.get(lightId) as string, content]);
  }
  return files;
}

function attempt<T>(act: () => Result<T>, folder: string): Result<T> {
  try {
    return act();
  } catch (error) {
    return failure(openFault(error, folder));
  }
}

/** docs/schema/layers.json. */
function listOf(
  setup: Setup,
  picture: SetupPicture,
  names: ReadonlyMap<string, string>,
  filtered: boolean,
): Readonly<Record<string, unknown>> {
  const lights = new Map(setup.lights.map((light) => [light.id, light]));
  const gains = new Map(picture.gains.map((gain) => [gain.lightId, gain]));
  const { referenceLxS, cameraOffsetStops, samples } = picture;
  const { apertureAv, iso } = setup.exposure;
  return {
    ...{ format: "stopwise-layers", version: 1, formula: FORMULA, colour: "linear Rec. 709, D65" },
    ...{ referenceLxS, cameraOffsetStops, apertureAv, iso, filtered, samples },
    layers: picture.layers.map(({ lightId, width, height }) => {
      const gain = gains.get(lightId);
      const light = lights.get(lightId);
      return {
        ...{ file: names.get(lightId), lightId, tag: light?.tag ?? null, role: light?.role ?? null, width, height },
        ...{ on: gain?.on ?? false, output: gain?.output ?? 0, unit: light === undefined ? "lx·s" : "lm·s" },
        tint: gain?.tint ?? [1, 1, 1],
      };
    }),
  };
}
