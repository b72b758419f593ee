// Prints pages as a browser would, and tells what each page says: every piece of text that must stay whole on one sheet of paper,
// the heads of the columns of the table it stands in, its heading, that of its group, and what is repeated of both. One browser for all of them; `printed.py` measures and reads the prints.
//
// usage: node print.mjs < JOBS      (JOBS: a JSON list of [page, pdf, json])

import { readFileSync, writeFileSync } from "node:fs";
import { pathToFileURL } from "node:url";

import { browse } from "./browser.mjs";

// Runs in the page, under the rules of print.
function told() {
  const pieces = ".rows > tbody:not(.within), .part > tbody, .facts tr, .card, .bar, figcaption, .tracks > span, h1, h2, p";
  const shown = (element) => element.getClientRects().length > 0;
  const words = (element) => {
    const texts = [];
    const walk = document.createTreeWalker(element, NodeFilter.SHOW_TEXT);
    for (let text = walk.nextNode(); text; text = walk.nextNode()) if (shown(text.parentElement)) texts.push(text.data);
    return texts.join("");
  };
  // A backslash, hexadecimal digits, and one blank (CSS Syntax Level 3, section 4.3.7).
  const unquoted = (text) => text.replaceAll(/\\([0-9a-f]{1,6}) ?/gi, (_, digits) => String.fromCodePoint(parseInt(digits, 16)));
  const main = [...document.querySelectorAll(pieces)].filter((one) => shown(one) && !one.parentElement.closest(`${pieces}, thead`));
  const stray = [...document.body.querySelectorAll("*")].filter(
    (one) => shown(one) && !one.closest(`${pieces}, thead, script, style`) && [...one.childNodes].some((node) => node.nodeType === 3 && node.data.trim()),
  );
  // What the margins of every sheet say; # and % stand for the number of the page and of all pages.
  const margins = [...document.querySelectorAll("style")].map((style) => style.textContent).join("");
  return {
    form: document.body.className,
    marks: [...margins.matchAll(/@bottom-left *\{[^}"]*content: *"([^"]*)"/g)].flatMap((match) => unquoted(match[1]).split("\n")),
    page: (margins.match(/@bottom-right *\{[^}"]*content: *([^;]*counter[^;]*);/) ?? ["", ""])[1]
      .replace("counter(pages)", '"%"').replace("counter(page)", '"#"').replaceAll(/" *"/g, "").replaceAll('"', ""),
    pieces: main.map((one) => {
      const rows = one.localName === "tbody" ? one.closest(".rows") : null;
      const heads = rows?.querySelector(":scope > thead > .heads");
      // The heading above a table, and what its later pages repeat of it.
      let heading = rows?.matches(".below") ? rows.previousElementSibling : null;
      while (heading && heading.localName !== "h2") heading = heading.previousElementSibling;
      const repeats = rows?.querySelector(":scope > thead .continued, :scope > thead h2");
      const repeated = repeats ? [...(heading ? [heading.querySelector("span")] : []), repeats].map(words) : [];
      const part = one.closest(".part");
      const groups = part ? [part.querySelector(".group"), part.tHead].map(words) : [];
      return { text: words(one), kind: one.localName, card: one.classList.contains("card"), head: heads && shown(heads) ? words(heads) : "", repeated, groups };
    }),
    stray: stray.map((one) => one.textContent.trim()),
  };
}

const jobs = JSON.parse(readFileSync(0, "utf8"));
const browser = await browse();
try {
  const page = await browser.newPage({ offline: true });
  for (const [path, pdf, json] of jobs) {
    await page.goto(pathToFileURL(path).href);
    await page.emulateMedia({ media: "print" });
    writeFileSync(json, JSON.stringify(await page.evaluate(told)));
    await page.pdf({ path: pdf, preferCSSPageSize: true });
  }
} finally {
  await browser.close();
}
