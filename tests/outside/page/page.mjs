// The page of `setout close --page`, in a real browser: every control, a reload in the middle, 375 px, the keyboard alone,
// no request, no fault of accessibility or of HTML; and what `setout close` makes of the record that it saves.
//
// Sources: those of browser.mjs, and the words of a record in docs/ledger.md.
//
// usage: node page.mjs LAYOUT-FOLDER
//        node page.mjs --self-test

import { execFileSync } from "node:child_process";
import { cpSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { pathToFileURL } from "node:url";

import { access, browse, faults, run, same, sawAll, validity } from "./browser.mjs";

async function width(page, what) {
  const [whole, wide, small] = await page.evaluate(() => [
    document.documentElement.scrollWidth,
    [...document.querySelectorAll("body *")].filter((one) => one.getBoundingClientRect().right > innerWidth + 1 && one.getBoundingClientRect().width > 0).slice(0, 3).map((one) => one.outerHTML.slice(0, 80)),
    [...document.querySelectorAll("button, select, input:not([type=radio]):not([type=checkbox]), #parts a")].filter((one) => one.offsetParent && one.getBoundingClientRect().height < 43.5).map((one) => one.outerHTML.slice(0, 80)),
  ]);
  same(`width of ${what}`, [whole <= 375, wide], [true, []]);
  same(`what fingers tap in ${what}`, small.slice(0, 3), []);
}

const car = (page, id) => page.locator(`[data-car="${id}"]`);
const words = (page) => page.locator("#record").inputValue();
// A dialog tells that it is closed a moment later.
const settled = (page) => page.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done))));
const facts = async (page) => (await settled(page), await words(page)).split("\n").filter((line) => line && !line.startsWith("#")).sort();
const how = (page, id) => car(page, id).locator(".how").textContent();

// Which cars and places to try: from the page's own data.
function chosen(data) {
  const all = data.places.flatMap((place) => place.tracks.flatMap((track) => track.cars.map((one) => ({ ...one, track: track.id, room: track.cars.length }))));
  const moved = all.filter((one) => one.job);
  const yard = data.places.flatMap((place) => place.tracks).find((track) => track.spots.length === 0 && track.cars.length === 0) ;
  return { left: moved[0], gone: moved[1], found: moved[2], bad: all.find((one) => !one.job), keyboard: moved[3], empty: yard, job: data.jobs.at(-1), partial: data.jobs.find((one) => one.calls.length > 2) };
}

async function byMouse(page, take) {
  await car(page, take.left.id).click();
  await access(page, "the questions about a car");
  await width(page, "the questions about a car");
  await page.getByRole("radio", { name: "Nobody moved it" }).check();
  await page.getByRole("button", { name: "Done" }).click();
  same("a car left", await facts(page), [`${take.left.id} left`]);
  same("a car left, at its line", (await how(page, take.left.id)).startsWith("nobody moved it"), true);

  await car(page, take.gone.id).click();
  await page.getByRole("combobox", { name: "Where it stands" }).selectOption("shelf");
  same("nobody finds a bad order off the layout", await page.getByRole("checkbox", { name: "Bad order" }).isDisabled(), true);
  await page.getByRole("button", { name: "Done" }).click();
  same("a car elsewhere", await facts(page), [`${take.gone.id} at shelf`, `${take.left.id} left`].sort());

  await car(page, take.bad.id).click();
  await page.getByRole("checkbox", { name: "Bad order" }).check();
  await page.getByRole("button", { name: "Done" }).click();
  same("a bad order", (await facts(page)).includes(`${take.bad.id} bad order`), true);

  await car(page, take.bad.id).click();
  await page.getByRole("checkbox", { name: "Bad order" }).uncheck();
  await page.getByRole("button", { name: "Cancel" }).click();
  same("cancelled", (await facts(page)).length, 3);
  await car(page, take.bad.id).click();
  await page.getByRole("radio", { name: "Somewhere else" }).check();
  await page.getByRole("button", { name: "Done" }).click();
  same("no place, no answer", await page.locator("#car").isVisible(), true);
  await page.keyboard.press("Escape");
  same("escaped", (await facts(page)).length, 3);
  same("the focus is back", await page.evaluate(() => document.activeElement.dataset.car), take.bad.id);
}

async function byFinding(page, take) {
  await page.locator(`[data-track="${take.empty.id}"] .another`).click();
  await access(page, "the question which car");
  await page.locator("#which").fill("999999");
  await page.getByRole("button", { name: "Go on" }).click();
  same("an unknown car", await page.locator("#which-wrong").textContent(), "No car of the roster has this mark and number.");
  await page.getByRole("button", { name: "Cancel" }).click();
  await page.locator(`[data-track="${take.empty.id}"] .another`).click();
  await page.locator("#which").fill(take.found.id.toLowerCase().replace(" ", ""));
  await page.keyboard.press("Enter");
  same("the place is filled in", await page.getByRole("combobox", { name: "Where it stands" }).inputValue(), take.empty.id);
  await page.getByRole("button", { name: "Done" }).click();
  same("a car found", (await facts(page)).includes(`${take.found.id} at ${take.empty.id}`), true);
  same("it is shown there", await page.locator(`[data-track="${take.empty.id}"] .found`).count(), 1);

  await page.getByLabel("Find a car, a load or a track").fill(take.found.id);
  same("found by its name", await page.locator(".car:visible").count(), 1);
  await page.getByLabel("Find a car, a load or a track").fill("");
  same("all are shown again", await page.locator(".car:visible").count(), await page.locator(".car").count());
}

async function jobs(page, take) {
  const box = page.locator(`[data-job="${take.job.id}"]`);
  await box.locator(".ran").selectOption("0");
  same("a job not run", (await facts(page)).includes(`job ${take.job.id} not run`), true);
  const partial = page.locator(`[data-job="${take.partial.id}"]`);
  await partial.locator(".ran").selectOption("1");
  await partial.locator(".took").fill("77");
  await partial.locator(".took").press("Tab");
  const found = await facts(page);
  same("a job cut short", [found.includes(`job ${take.partial.id} ran to 1`), found.includes(`job ${take.partial.id} took 77`)], [true, true]);
  await partial.locator(".took").fill("-4");
  await partial.locator(".took").press("Tab");
  same("no minutes below one", (await facts(page)).some((line) => line.includes("took")), false);
  await partial.locator(".took").fill("77");
  await partial.locator(".took").press("Tab");
  await page.getByRole("button", { name: `Take back: job ${take.partial.id} ran to 1` }).click();
  same("taken back", (await facts(page)).includes(`job ${take.partial.id} ran to 1`), false);
}

// Tab from where the focus is until a test holds; the number of steps is bounded.
async function tabTo(page, test, argument, key = "Tab") {
  for (let step = 0; step < 2000; step += 1) {
    if (await page.evaluate(test, argument)) return true;
    await page.keyboard.press(key);
  }
  return false;
}

async function byKeyboard(page, take) {
  await page.reload();
  const before = await facts(page);
  same("reached by Tab", await tabTo(page, (id) => document.activeElement?.dataset.car === id, take.keyboard.id), true);
  await page.keyboard.press("Enter");
  same("asked", await page.locator("#car-head").textContent(), take.keyboard.id);
  await tabTo(page, () => document.activeElement.type === "radio");
  await page.keyboard.press("ArrowDown");
  await tabTo(page, () => document.activeElement.id === "bad");
  await page.keyboard.press("Space");
  await tabTo(page, () => document.activeElement.value === "done");
  await page.keyboard.press("Enter");
  const added = [`${take.keyboard.id} left`, `${take.keyboard.id} bad order`];
  same("by keyboard alone", await facts(page), [...before, ...added].sort());
  for (const line of added) {
    same(`reached: ${line}`, await tabTo(page, (words) => document.activeElement?.getAttribute("aria-label") === `Take back: ${words}`, line), true);
    await page.keyboard.press("Enter");
  }
  same("taken back by keyboard", await facts(page), before);
  const outline = await page.evaluate(() => {
    const one = document.activeElement;
    return getComputedStyle(one).outlineStyle !== "none";
  });
  same("the focus is seen", outline, true);
}

async function saved(page) {
  const download = page.waitForEvent("download");
  await page.getByRole("button", { name: "Save the record" }).click();
  const file = await download;
  same("the name of the record", /^record-\d{4}\.txt$/.test(file.suggestedFilename()), true);
  return readFileSync(await file.path(), "utf8");
}

async function again(page) {
  await page.getByRole("button", { name: "Start again" }).click();
  await access(page, "the question whether to start again");
  await page.getByRole("button", { name: "Keep it" }).click();
  same("kept", (await facts(page)).length > 0, true);
  await page.getByRole("button", { name: "Copy the record" }).click();
  await page.waitForFunction(() => document.getElementById("state").textContent.startsWith("Copied"));
  await page.getByRole("button", { name: "Start again" }).click();
  await page.getByRole("button", { name: "Forget it" }).click();
  same("forgotten", [await facts(page), await page.locator("#state").textContent()], [[], "All as planned"]);
}

async function walk(path) {
  const browser = await browse();
  try {
    const context = await browser.newContext({ viewport: { width: 375, height: 720 }, acceptDownloads: true, offline: true });
    const page = await context.newPage();
    page.setDefaultTimeout(10000);
    page.on("pageerror", (fault) => faults.push(`the script failed: ${fault}`));
    page.on("console", (line) => line.type() === "error" && faults.push(`the browser says: ${line.text()}`));
    page.on("request", (request) => /^(file|blob|data):/.test(request.url()) || faults.push(`asked for ${request.url()}`));
    await page.goto(pathToFileURL(path).href);
    const take = chosen(await page.evaluate(() => JSON.parse(document.getElementById("session").textContent)));
    same("nothing differs at first", [await facts(page), await page.locator("#state").textContent()], [[], "All as planned"]);
    await width(page, "the page");
    await access(page, "the page");
    await validity("the page as the browser has it", `<!DOCTYPE html>\n${await page.evaluate(() => { document.querySelectorAll("script").forEach((one) => one.remove()); return document.documentElement.outerHTML; })}`);
    await page.reload();
    await byMouse(page, take);
    const middle = await facts(page);
    await page.reload();
    same("a reload in the middle loses nothing", await facts(page), middle);
    await byFinding(page, take);
    await jobs(page, take);
    await access(page, "the page with what differs");
    await width(page, "the page with what differs");
    await page.emulateMedia({ colorScheme: "dark" });
    await access(page, "the dark page");
    await page.emulateMedia({ colorScheme: "light" });
    await byKeyboard(page, take);
    const record = await saved(page);
    same("what is saved is what is shown", record, await words(page));
    await again(page);
    return { record, take };
  } finally {
    await browser.close();
  }
}

// What `close` makes of the record: the standing that it leaves, and that nothing but the facts is recorded.
function closed(setout, folder, record, take) {
  writeFileSync(join(folder, "saved.txt"), record);
  execFileSync(setout, ["close", folder, "--record", join(folder, "saved.txt")]);
  const recorded = readFileSync(join(folder, "ledger/0001/recorded.toml"), "utf8");
  const lines = record.split("\n").filter((line) => line && !line.startsWith("#"));
  for (const line of lines.filter((line) => !line.includes(" took "))) same(`recorded: ${line}`, recorded.includes(`"${line}"`), true);
  same("minutes are recorded", recorded.includes("77"), true);
  const standing = readFileSync(join(folder, "ledger/standing.toml"), "utf8");
  same(`${take.gone.id} is on the shelf`, whereIs(standing, take.gone.id), "shelf");
  same(`${take.found.id} is where it was found`, whereIs(standing, take.found.id), take.empty.id);
}

// The track, gateway or shelf on which a standing has a car, from its text: one thing a line.
function whereIs(standing, id) {
  let table = "";
  let row = "";
  for (const line of standing.split("\n")) {
    const [head, key] = [/^\[([^\]]+)\]$/.exec(line), /^"([^"]+)" = \[/.exec(line)];
    if (head) [table, row] = [head[1], ""];
    if (key) row = key[1];
    if (["tracks", "beyond", "shelf"].includes(table) && line.includes(`"${id}"`)) return row || table;
  }
  return "nowhere";
}

async function main(layout) {
  const setout = process.env.SETOUT;
  const folder = mkdtempSync(join(tmpdir(), "setout-page-"));
  try {
    cpSync(layout, folder, { recursive: true });
    rmSync(join(folder, "ledger"), { recursive: true, force: true });
    execFileSync(setout, ["plan", folder, "--seed", "1"]);
    execFileSync(setout, ["close", folder, "--page"]);
    const path = join(folder, "ledger/0001/record.html");
    await validity("the file", readFileSync(path, "utf8"));
    const { record, take } = await walk(path);
    closed(setout, folder, record, take);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

async function selfTest() {
  await validity("a broken page", "<!DOCTYPE html><html lang=en><head><title>x</title></head><body><p><div></p></body></html>");
  const browser = await browse();
  const page = await browser.newPage({ viewport: { width: 375, height: 720 } });
  await page.setContent("<html><body><input><div style='width: 500px'>wide</div><button style='height: 10px'>x</button></body></html>");
  await access(page, "a broken page");
  await width(page, "a broken page");
  await browser.close();
  same("a difference", 1, 2);
  sawAll("page", 5);
}

const [argument] = process.argv.slice(2);
if (argument === "--self-test") {
  await selfTest();
} else {
  await run("page", () => main(argument));
}
