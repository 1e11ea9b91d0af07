import assert from "node:assert/strict";
import { test } from "node:test";
import { expectOk } from "../units/index.ts";
import { dataDirOf } from "./data-dir.ts";

const none = { value: () => null };
const home = { HOME: "/home/x" };

test("the folder is --data, else STOPWISE_DATA, else the platform's own place", {
  skip: process.platform === "win32" && "POSIX paths",
}, () => {
  const said = { value: () => "/a/b" };
  const of = (platform: NodeJS.Platform, env: Record<string, string> = {}, words = none): string =>
    expectOk(dataDirOf(words, { platform, env: { ...home, ...env } }));
  assert.equal(expectOk(dataDirOf(said, { platform: "linux", env: { ...home, STOPWISE_DATA: "/c" } })), "/a/b");
  assert.equal(of("linux", { STOPWISE_DATA: "/c" }), "/c");
  assert.equal(of("linux"), "/home/x/.local/share/stopwise");
  assert.equal(of("linux", { XDG_DATA_HOME: "/xdg" }), "/xdg/stopwise");
  // The specification says that a relative path there is to be ignored.
  assert.equal(of("linux", { XDG_DATA_HOME: "xdg" }), "/home/x/.local/share/stopwise");
  assert.equal(of("darwin"), "/home/x/Library/Application Support/Stopwise");
  assert.equal(of("win32", { APPDATA: "/app" }), "/app/Stopwise");
});
