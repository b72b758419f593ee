// The printed forms as pages, in a real browser, at the width of a phone: nothing an HTML validator or axe-core finds, contrast
// among it; nothing wider than the screen, no request, ticks that a reload does not lose, and the first car of a switch list soon.
//
// Sources: those of browser.mjs; 375 CSS pixels are the width of a small phone (common practice, no source).
//
// usage: node forms.mjs FOLDER-OF-PAPER
//        node forms.mjs --self-test

import { readFileSync, readdirSync } from "node:fs";
import { join } from "node:path";
import { pathToFileURL } from "node:url";

import { access, browse, faults, run, same, sawAll, validity } from "./browser.mjs";

const WIDTH = 375;
// A tall phone shows so much at once, a small one on its second screen.
const SECOND = 812;

async function narrow(page, what) {
  same(`width of ${what}`, (await page.evaluate(() => document.documentElement.scrollWidth)) <= WIDTH, true);
}

// Ticks the first and the last box, and looks again after a reload.
async function ticks(page, what) {
  const boxes = page.locator("input[type=checkbox]");
  const count = await boxes.count();
  same(`boxes of ${what}`, count > 0, true);
  await boxes.first().check();
  await boxes.last().check();
  await page.reload();
  const kept = await boxes.evaluateAll((all) => [all[0].checked, all.at(-1).checked, all.filter((one) => one.checked).length]);
  same(`ticks of ${what} after a reload`, kept, [true, true, Math.min(count, 2)]);
}

// How far down a crew finds the first car of its first call, to move or to leave; its heading, where it meets none there.
async function first(page, name) {
  const top = await page.evaluate(() => {
    const head = [...document.querySelectorAll("h2")].find((head) => /^\d+\. /.test(head.textContent));
    const car = head?.closest("table")?.querySelector("tbody .car");
    return Math.round((car ?? head)?.getBoundingClientRect().top ?? Infinity);
  });
  same(`first car of ${name} by ${SECOND} px, found at ${top}`, top <= SECOND, true);
}

async function phone(check) {
  const browser = await browse();
  try {
    const context = await browser.newContext({ viewport: { width: WIDTH, height: 720 }, offline: true });
    const page = await context.newPage();
    page.setDefaultTimeout(20000);
    page.on("pageerror", (fault) => faults.push(`a script failed: ${fault}`));
    page.on("request", (request) => /^(file|blob|data):/.test(request.url()) || faults.push(`asked for ${request.url()}`));
    await check(page);
  } finally {
    await browser.close();
  }
}

async function main(folder) {
  const forms = readdirSync(folder).filter((name) => name.endsWith(".html"));
  same("there are forms", forms.length > 10, true);
  await phone(async (page) => {
    for (const name of forms) {
      const path = join(folder, name);
      await validity(name, readFileSync(path, "utf8"));
      await page.goto(pathToFileURL(path).href);
      await narrow(page, name);
      await access(page, name);
      if (name.startsWith("switch-list")) await first(page, name);
    }
    const list = forms.find((name) => name.startsWith("switch-list"));
    await page.goto(pathToFileURL(join(folder, list)).href);
    await ticks(page, list);
  });
}

// A page whose words are pale, whose line is wide, and whose tick is lost.
async function selfTest() {
  await phone(async (page) => {
    const broken = "<!DOCTYPE html><html lang=en><head><title>x</title></head><body><main><h1 style='color: #bbb'>pale</h1><p><div style='width: 500px'>wide</div><label><input type=checkbox autocomplete=off>x</label></main></body></html>";
    await validity("a broken form", broken);
    const url = `data:text/html,${encodeURIComponent(broken)}`;
    await page.goto(url);
    await narrow(page, "a broken form");
    await access(page, "a broken form");
    await ticks(page, "a broken form");
    await page.setContent("<!DOCTYPE html><html lang=en><title>x</title><main style='padding-top: 900px'><h2>1. Mill</h2></main></html>");
    await first(page, "a broken form");
  });
  sawAll("forms", 5);
}

const [argument] = process.argv.slice(2);
if (argument === "--self-test") {
  await selfTest();
} else {
  await run("forms", () => main(argument));
}
