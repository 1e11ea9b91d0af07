/** An independent reader of OpenEXR files for tests: the loader of three (a development package without types). Not for production. */

interface Parsed {
  readonly width: number;
  readonly height: number;
  /** rgba from the lowest row up, as textures lie. */
  readonly data: Float32Array;
  readonly header: { readonly comments?: string; readonly compression: string };
}

interface Loader {
  setDataType(type: number): Loader;
  parse(file: ArrayBuffer): Parsed;
}

export interface ReadExr {
  readonly width: number;
  readonly height: number;
  readonly rgb: Float32Array;
  readonly comments: string;
  readonly compression: string;
}

/** Linear rgb, row by row from the top. */
export async function readExr(file: Uint8Array): Promise<ReadExr> {
  const [three, loaders] = ["three", "three/examples/jsm/loaders/EXRLoader.js"] as readonly string[];
  const { FloatType } = (await import(three as string)) as { readonly FloatType: number };
  const { EXRLoader } = (await import(loaders as string)) as { readonly EXRLoader: new () => Loader };
  const { width, height, data, header } = new EXRLoader().setDataType(FloatType).parse(Uint8Array.from(file).buffer);
  const rgb = new Float32Array(3 * width * height);
  for (let i = 0; i < rgb.length; i++) {
    const [y, rest] = [Math.floor(i / (3 * width)), i % (3 * width)];
    rgb[i] = data[4 * ((height - 1 - y) * width + Math.floor(rest / 3)) + (rest % 3)] as number;
  }
  return { width, height, rgb, comments: header.comments ?? "", compression: header.compression };
}
