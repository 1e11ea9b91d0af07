/** Holds README.md to its word: what its commands are said to print is what they print, and its links lead somewhere. */

import assert from "node:assert/strict";
import { spawnSync } from "node:child_process";
import { existsSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";

const root: string = join(import.meta.dirname, "..");
const readme: string = readFileSync(join(root, "README.md"), "utf8");

/** Each `$ npm run -s stopwise -- …` of a fenced block, with the lines up to the next command or the fence. */
function commandsOf(text: string): readonly { readonly words: readonly string[]; readonly prints: string }[] {
  return [...text.matchAll(/^\$ npm run -s stopwise -- (.*)\n((?:(?!\$ |```).*\n)*)/gm)].map((match) => ({
    words: [...(match[1] ?? "").matchAll(/"([^"]*)"|(\S+)/g)].map((word) => word[1] ?? word[2] ?? ""),
    prints: (match[2] ?? "").trim(),
  }));
}

test("the README's commands print what it says", () => {
  const commands = commandsOf(readme);
  assert.ok(commands.length >= 4, `${commands.length} commands found`);
  for (const { words, prints } of commands) {
    const done = spawnSync(process.execPath, [join(root, "src", "cli", "main.ts"), ...words], { encoding: "utf8" });
    assert.equal(`${done.stdout}${done.stderr}`.trim(), prints, words.join(" "));
  }
});

test("a turn, a sum and a ratio are among them, with the answers that can be worked out by hand", () => {
  const answers = commandsOf(readme).map(({ words, prints }) => `${words.join(" ")} = ${prints.split("\n")[0]}`);
  assert.ok(answers.includes("turn 4^6 --target 2.8 --dial 1/16+0.3 = down 1.6, dial 1/64+0.7"));
  assert.ok(answers.some((answer) => answer.startsWith("sum 5.6 2.8 2 = f/5.6⁵")));
  assert.ok(answers.some((answer) => answer.startsWith("ratio --stops 3 = ")));
});

for (const page of ["README.md", "docs/guide.md", "docs/threat-model.md", "CONTRIBUTING.md"]) {
  test(`the links of ${page} lead to files and headings that are there`, () => {
    const text = readFileSync(join(root, page), "utf8");
    const links = [...text.matchAll(/\[[^\]]+\]\(([^)]+)\)/g)].map((match) => match[1] ?? "");
    for (const link of links) {
      if (link.startsWith("#")) assert.ok(headingsOf(text).includes(link.slice(1)), `${page}: ${link}`);
      else assert.ok(existsSync(join(root, page, "..", link)), `${page}: ${link}`);
    }
  });
}

/** Headings as links name them: lower case, spaces as hyphens, no punctuation. */
const headingsOf = (text: string): readonly string[] =>
  [...text.matchAll(/^#+ (.+)$/gm)].map((match) =>
    (match[1] ?? "")
      .toLowerCase()
      .replace(/[^\p{L}\p{N} -]/gu, "")
      .replaceAll(" ", "-"),
  );
