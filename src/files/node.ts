/** The machine door of the files room: decoding in threads, hot folders, full-size mixes. */

export { type DecodeOptions, decodeFrame, frameIdOf, sha256Of } from "./decode.ts";
export type { CodeMeaning } from "./decode-plain.ts";
export { createDecoder, type Decoder, type DecoderOptions, type LookOptions } from "./decoder.ts";
export type { LookAnswer, MixAnswer, MixFormat, MixPart, Source } from "./decoder-types.ts";
export { type FolderOptions, type FolderState, type HotFolder, type Taken, watchFolder } from "./hot-folder.ts";
export { PROXY_SIDE, SAMPLE_SIDE } from "./look.ts";
export { readFrameFile } from "./read-file.ts";
