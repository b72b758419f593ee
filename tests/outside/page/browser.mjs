// What the checks in a browser share: what was found wrong, and what an HTML validator and axe-core say of a page.
//
// Sources: axe-core (the rules of WCAG 2.2 A and AA that a program can judge, contrast among them, and its best practices),
// html-validate (the HTML standard). The browser is the Chromium of the machine.

import { readFileSync } from "node:fs";
import { createRequire } from "node:module";

import { HtmlValidate } from "html-validate";
import { chromium } from "playwright-core";

const axeSource = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
// What is wrong, and how many things were looked at.
export const faults = [];
let checked = 0;

export function same(what, found, expected) {
  checked += 1;
  const [one, other] = [JSON.stringify(found), JSON.stringify(expected)];
  if (one !== other) faults.push(`${what}: expected ${other}, found ${one}`);
}

export async function validity(what, text) {
  // Whether words are long or quotes double is a matter of style, not of the standard; the data are not looked into.
  const rules = { extends: ["html-validate:standard", "html-validate:document"], rules: { "no-inline-style": "off", "require-sri": "off", "long-title": "off" } };
  const report = await new HtmlValidate(rules).validateString(text);
  const found = report.results.flatMap((result) => result.messages.map((one) => `${one.line}:${one.column} ${one.ruleId} ${one.message}`));
  same(`HTML of ${what}`, found.slice(0, 5), []);
}

export async function access(page, what) {
  await page.evaluate(axeSource);
  const found = await page.evaluate(async () => {
    const result = await window.axe.run(document, { resultTypes: ["violations"] });
    return result.violations.map((one) => `${one.id}: ${one.help}: ${one.nodes.slice(0, 2).map((node) => node.target.join(" ")).join("; ")}`);
  });
  same(`accessibility of ${what}`, found, []);
}

export const browse = () => chromium.launch({ executablePath: process.env.CHROMIUM || "/usr/bin/chromium", args: ["--no-sandbox"] });

// Runs a check to its end, tells what it found, and ends the program.
export async function run(name, check) {
  try {
    await check();
  } catch (fault) {
    faults.push(`the check itself stopped: ${fault.message.split("\n").slice(0, 4).join(" ")}`);
  }
  for (const fault of faults) console.log(`FAILED ${name}: ${fault}`);
  console.log(`${faults.length ? "FAILED" : "passed"} ${name}: ${checked} checks`);
  process.exit(faults.length ? 1 : 0);
}

// A check of a check: as many faults must have been seen as were made.
export function sawAll(name, made) {
  const seen = faults.splice(0).length;
  console.log(`${name}: self-test saw ${seen} of ${made} faults`);
  process.exit(seen === made ? 0 : 1);
}
