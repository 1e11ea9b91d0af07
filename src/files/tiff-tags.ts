/**
 * The tags of a TIFF file (TIFF 6.0, Adobe 1992), which Exif blocks (CIPA DC-008) and DNG share. Reads directories
 * only, never pixels; every offset is checked, loops and floods are cut off. Whatever does not hold is left out.
 */

/** Directories and tags looked at in one file: more is no camera's work. */
const MOST_DIRECTORIES = 64;
const MOST_TAGS = 1024;
/** Values kept of one tag; profiles and other blobs are asked for as bytes. */
const MOST_VALUES = 4096;

export interface Tag {
  readonly id: number;
  readonly type: number;
  readonly count: number;
  /** Numbers of any numeric type; rationals divided; empty for text and blobs. */
  readonly numbers: readonly number[];
  /** ASCII, up to its first zero byte; empty for others. */
  readonly text: string;
  /** Where its values lie. */
  readonly at: number;
  readonly bytes: number;
}

export interface Directory {
  readonly tags: ReadonlyMap<number, Tag>;
  /** Directories under this one (SubIFDs, Exif). */
  readonly under: readonly Directory[];
}

export interface TagFile {
  readonly littleEndian: boolean;
  /** The main directories, in the file's order; each with those under it. */
  readonly directories: readonly Directory[];
}

/** Tag numbers used here. */
export const TAG = {
  subfileType: 254,
  width: 256,
  height: 257,
  bitsPerSample: 258,
  compression: 259,
  photometric: 262,
  orientation: 274,
  samplesPerPixel: 277,
  software: 305,
  subIfds: 330,
  sampleFormat: 339,
  exposureTime: 33434,
  fNumber: 33437,
  iccProfile: 34675,
  exifIfd: 34665,
  iso: 34855,
  dateTimeOriginal: 36867,
  subSecTimeOriginal: 37521,
  exposureBias: 37380,
  focalLength: 37386,
  dngVersion: 50706,
  blackLevelRepeat: 50713,
  blackLevel: 50714,
  whiteLevel: 50717,
  asShotNeutral: 50728,
  activeArea: 50829,
} as const;

/** Bytes of one value, by type: BYTE ASCII SHORT LONG RATIONAL SBYTE UNDEFINED SSHORT SLONG SRATIONAL FLOAT DOUBLE IFD. */
const VALUE_BYTES: readonly number[] = [0, 1, 1, 2, 4, 8, 1, 1, 2, 4, 8, 4, 8, 4];

/** Null when the bytes do not begin as a TIFF does. */
export function readTags(bytes: Uint8Array): TagFile | null {
  if (bytes.length < 8) return null;
  const order = (bytes[0] as number) * 256 + (bytes[1] as number);
  if (order !== 0x4949 && order !== 0x4d4d) return null;
  const littleEndian = order === 0x4949;
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const reader: Reader = { view, littleEndian, seen: new Set() };
  const directories: Directory[] = [];
  for (let at = view.getUint32(4, littleEndian); at !== 0; ) {
    const read = readDirectory(reader, at);
    if (read === null) break;
    directories.push(read.directory);
    at = read.next;
  }
  return { littleEndian, directories };
}

/** A main directory and all under it, in the order in which they stand. */
export const flatten = (directory: Directory): readonly Directory[] => [directory, ...directory.under.flatMap(flatten)];

/** The first number of a tag; undefined when it is absent. */
export const numberOf = (directory: Directory, id: number): number | undefined => directory.tags.get(id)?.numbers[0];

interface Reader {
  readonly view: DataView;
  readonly littleEndian: boolean;
  readonly seen: Set<number>;
}

function readDirectory(reader: Reader, at: number): { directory: Directory; next: number } | null {
  const { view, littleEndian, seen } = reader;
  if (seen.has(at) || seen.size >= MOST_DIRECTORIES || at + 2 > view.byteLength) return null;
  seen.add(at);
  const count = Math.min(view.getUint16(at, littleEndian), MOST_TAGS);
  const tags = new Map<number, Tag>();
  for (let i = 0; i < count; i++) {
    const entry = at + 2 + 12 * i;
    if (entry + 12 > view.byteLength) break;
    const tag = readTag(view, littleEndian, entry);
    if (tag !== null && !tags.has(tag.id)) tags.set(tag.id, tag);
  }
  const end = at + 2 + 12 * count;
  const next = end + 4 <= view.byteLength ? view.getUint32(end, littleEndian) : 0;
  const starts = [TAG.subIfds, TAG.exifIfd].flatMap((id) => tags.get(id)?.numbers ?? []);
  const under = starts.map((start) => readDirectory(reader, start)).filter((read) => read !== null);
  return { directory: { tags, under: under.map(({ directory }) => directory) }, next };
}

function readTag(view: DataView, littleEndian: boolean, entry: number): Tag | null {
  const type = view.getUint16(entry + 2, littleEndian);
  const count = view.getUint32(entry + 4, littleEndian);
  const bytes = (VALUE_BYTES[type] ?? 0) * count;
  if (bytes === 0) return null;
  const at = bytes <= 4 ? entry + 8 : view.getUint32(entry + 8, littleEndian);
  if (at + bytes > view.byteLength) return null;
  const id = view.getUint16(entry, littleEndian);
  const isText = type === 2;
  const numbers = isText || type === 7 ? [] : readNumbers(view, littleEndian, type, at, Math.min(count, MOST_VALUES));
  return { id, type, count, numbers, text: isText ? readText(view, at, Math.min(count, MOST_VALUES)) : "", at, bytes };
}

function readNumbers(view: DataView, littleEndian: boolean, type: number, at: number, count: number): number[] {
  const size = VALUE_BYTES[type] as number;
  return Array.from({ length: count }, (_, i) => readNumber(view, littleEndian, type, at + size * i));
}

function readNumber(view: DataView, little: boolean, type: number, at: number): number {
  switch (type) {
    case 3:
      return view.getUint16(at, little);
    case 4:
    case 13:
      return view.getUint32(at, little);
    case 5:
      return view.getUint32(at, little) / view.getUint32(at + 4, little);
    case 6:
      return view.getInt8(at);
    case 8:
      return view.getInt16(at, little);
    case 9:
      return view.getInt32(at, little);
    case 10:
      return view.getInt32(at, little) / view.getInt32(at + 4, little);
    case 11:
      return view.getFloat32(at, little);
    case 12:
      return view.getFloat64(at, little);
    default:
      return view.getUint8(at);
  }
}

function readText(view: DataView, at: number, count: number): string {
  let text = "";
  for (let i = 0; i < count; i++) {
    const byte = view.getUint8(at + i);
    if (byte === 0) break;
    text += byte >= 32 && byte < 127 ? String.fromCharCode(byte) : "?";
  }
  return text.trim();
}
