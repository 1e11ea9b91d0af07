/** The door of the store room: a book on disc. */

export { type BookFile, parseBook } from "./book-file.ts";
export { type DeviceStore, openDevices } from "./devices.ts";
export { type FrameFiles, type FrameShelf, type KeptFrame, type NewFrame, personSays, saidByPerson } from "./frames.ts";
export { type DocumentEntry, type DocumentValue, kitName, setupName } from "./log.ts";
export { type Imported, openStore, type Store, type StoreOptions } from "./store.ts";
export { guarded, guardedLong } from "./store-error.ts";
export type {
  BookCard,
  BookInfo,
  CardFilter,
  CardLight,
  CardPage,
  Device,
  FrameAssignment,
  FrameCard,
  FrameFolder,
  FrameList,
  Permission,
  ProxyCard,
  SetSpace,
} from "./types.ts";
