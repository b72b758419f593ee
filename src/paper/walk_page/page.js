"use strict";
const session = JSON.parse(document.getElementById("session").textContent);
const byId = (id) => document.getElementById(id);
const key = `setout: ${session.layout}, session ${session.session}, plan ${session.revision}, ${session.seed}`;

// Every car by its id, with the place where the plan leaves it; every place by its id, in words.
const cars = new Map();
const places = new Map();
const trackOf = new Map();
for (const place of session.places) {
  for (const track of place.tracks) {
    places.set(track.id, `${place.title}, ${track.name}`);
    trackOf.set(track.id, track.id);
    for (const spot of track.spots) {
      places.set(spot.id, `${place.title}, ${track.name}, ${spot.name}`);
      trackOf.set(spot.id, track.id);
    }
    for (const car of track.cars) cars.set(car.id, { ...car, planned: car.spot || track.id, track: track.id });
  }
}
for (const away of session.away) {
  places.set(away.id, away.name);
  trackOf.set(away.id, away.id);
  for (const car of away.cars) cars.set(car.id, { ...car, planned: away.id, track: away.id });
}

// What differs: for a car where it is (`left`, or a place) and whether it is a bad order; for a job
// how many of its calls it did, and its minutes.
let facts = { cars: {}, jobs: {} };

function load() {
  try {
    const kept = JSON.parse(localStorage.getItem(key) || "null");
    if (kept && kept.cars && kept.jobs) facts = kept;
  } catch {
    warn("This browser keeps nothing: what you enter is lost when the page is closed. Save the record before.");
  }
}

function keep() {
  try {
    localStorage.setItem(key, JSON.stringify(facts));
  } catch {
    warn("This browser keeps nothing: what you enter is lost when the page is closed. Save the record before.");
  }
}

function warn(words) {
  byId("warning").textContent = words;
}

function element(name, words, attributes = {}) {
  const made = document.createElement(name);
  if (words) made.textContent = words;
  for (const [attribute, value] of Object.entries(attributes)) made.setAttribute(attribute, value);
  return made;
}

// The lines of the record, each with what takes it back.
function lines() {
  const found = [];
  for (const id of Object.keys(facts.cars).sort()) {
    const fact = facts.cars[id];
    const without = (part) => () => change(() => {
      delete fact[part];
      if (!fact.at && !fact.bad) delete facts.cars[id];
    });
    if (fact.at) {
      const place = fact.at === "left" ? "left" : `at ${fact.at}`;
      found.push({ words: `${id} ${place}`, back: without("at") });
    }
    if (fact.bad) found.push({ words: `${id} bad order`, back: without("bad") });
  }
  for (const job of session.jobs) {
    const fact = facts.jobs[job.id] || {};
    if (fact.calls !== undefined) {
      const words = fact.calls === 0 ? `job ${job.id} not run` : `job ${job.id} ran to ${fact.calls}`;
      found.push({ words, back: () => change(() => delete fact.calls) });
    }
    if (fact.minutes) found.push({ words: `job ${job.id} took ${fact.minutes}`, back: () => change(() => delete fact.minutes) });
  }
  return found;
}

function record() {
  const head = `# ${session.layout}, session ${session.session}, plan ${session.revision}.\n`;
  return head + lines().map((line) => `${line.words}\n`).join("");
}

function change(deed) {
  deed();
  keep();
  show();
}

// How a car stands, in words, and whether that differs from the plan.
function how(id) {
  const car = cars.get(id);
  const fact = facts.cars[id] || {};
  const words = [];
  if (fact.at === "left") words.push(car.stood ? `nobody moved it: ${car.stood}` : "nobody moved it");
  else if (fact.at) words.push(`stands at ${places.get(fact.at) || fact.at}`);
  if (fact.bad) words.push("bad order");
  if (!fact.at && car.job) {
    const job = session.jobs.find((one) => one.id === car.job);
    const done = (facts.jobs[car.job] || {}).calls;
    if (done === 0) words.push(`${job.name} did not run`);
    else if (done !== undefined && car.call > done) words.push(`${job.name} did not get so far`);
  }
  return words.length ? { words: words.join(", "), differs: true } : { words: "as planned", differs: false };
}

function carButton(id) {
  const car = cars.get(id);
  const button = element("button", "", { type: "button", class: "car", "data-car": id });
  button.append(element("b", id), ` ${car.load}, ${car.looks}${car.spotName ? `, ${car.spotName}` : ""}`);
  button.append(element("span", "", { class: "how" }));
  button.addEventListener("click", () => ask(id));
  return button;
}

function part(title, number) {
  const section = element("section", "", { "aria-labelledby": `part-${number}` });
  section.append(element("h2", title, { id: `part-${number}`, tabindex: "-1" }));
  const item = element("li");
  item.append(element("a", title, { href: `#part-${number}` }));
  byId("parts").append(item);
  byId("tracks").append(section);
  return section;
}

function rowOfCars(section, track, label) {
  const block = element("div", "", { class: "track", "data-track": track.id, "data-words": label.toLowerCase() });
  block.append(element("h3", track.name));
  const list = element("ol", "", { "aria-label": `${label}, from west to east` });
  for (const car of track.cars) {
    const item = element("li");
    item.append(carButton(car.id));
    list.append(item);
  }
  if (track.cars.length) block.append(list);
  const found = element("ul", "", { class: "others", "aria-label": `Found on ${label}`, hidden: "" });
  const other = element("button", "Another car is here", { type: "button", class: "another", "aria-label": `Another car is here: ${label}` });
  other.addEventListener("click", () => askOther(track.id));
  block.append(found, other);
  section.append(block);
}

function build() {
  session.places.forEach((place, number) => {
    const section = part(place.title, number);
    for (const track of place.tracks) rowOfCars(section, track, `${place.title}, ${track.name}`);
  });
  const away = part("Off the layout", session.places.length);
  for (const one of session.away) rowOfCars(away, one, one.name);
  for (const [id, title] of [["jobs-head", "Jobs"], ["record-head", "What differs"]]) {
    const item = element("li");
    item.append(element("a", title, { href: `#${id}` }));
    if (id === "jobs-head") byId("parts").prepend(item);
    else byId("parts").append(item);
  }
  const group = (label, options) => {
    const made = element("optgroup", "", { label });
    for (const [id, words] of options) made.append(element("option", words, { value: id }));
    byId("place").append(made);
  };
  byId("place").append(element("option", "Choose a place", { value: "" }));
  for (const place of session.places) {
    group(place.title, place.tracks.flatMap((track) => [[track.id, track.name], ...track.spots.map((spot) => [spot.id, `${track.name}, ${spot.name}`])]));
  }
  group("Off the layout", session.away.map((one) => [one.id, one.name]));
  for (const id of cars.keys()) byId("all-cars").append(element("option", "", { value: id }));
  session.jobs.forEach(buildJob);
}

function buildJob(job, number) {
  const box = element("fieldset", "", { "data-job": job.id });
  box.append(element("legend", job.name));
  const ran = element("label", `How far ${job.name} got`, { for: `ran-${number}` });
  const choice = element("select", "", { id: `ran-${number}`, class: "ran" });
  choice.append(element("option", "It ran as planned", { value: "" }), element("option", "It did not run", { value: "0" }));
  job.calls.slice(0, -1).forEach((call, place) => {
    choice.append(element("option", `It did call ${place + 1}, ${call}, and no more`, { value: String(place + 1) }));
  });
  choice.addEventListener("change", () => change(() => {
    const fact = (facts.jobs[job.id] ||= {});
    if (choice.value === "") delete fact.calls;
    else fact.calls = Number(choice.value);
  }));
  const estimated = job.minutes ? ` (${job.minutes} estimated)` : "";
  const took = element("label", `Minutes ${job.name} really took${estimated}`, { for: `took-${number}` });
  const minutes = element("input", "", { id: `took-${number}`, class: "took", type: "number", min: "1", max: "1440", step: "1", inputmode: "numeric" });
  minutes.addEventListener("change", () => change(() => {
    const fact = (facts.jobs[job.id] ||= {});
    if (minutes.value !== "" && minutes.checkValidity()) fact.minutes = Number(minutes.value);
    else delete fact.minutes;
  }));
  box.append(ran, choice, took, minutes);
  byId("jobs").append(box);
}

function show() {
  for (const button of document.querySelectorAll("[data-car]")) {
    const told = how(button.dataset.car);
    button.classList.toggle("differs", told.differs);
    button.querySelector(".how").textContent = told.words;
  }
  for (const block of document.querySelectorAll(".track")) {
    const found = block.querySelector(".others");
    found.replaceChildren();
    for (const [id, fact] of Object.entries(facts.cars)) {
      if (!fact.at || trackOf.get(fact.at) !== block.dataset.track) continue;
      const item = element("li", "", { class: "found" });
      item.append(`${id} stands here: ${places.get(fact.at) || fact.at}`);
      found.append(item);
    }
    found.hidden = found.childElementCount === 0;
  }
  for (const box of document.querySelectorAll("[data-job]")) {
    const fact = facts.jobs[box.dataset.job] || {};
    box.querySelector(".ran").value = fact.calls === undefined ? "" : String(fact.calls);
    box.querySelector(".took").value = fact.minutes || "";
    box.classList.toggle("differs", fact.calls !== undefined);
  }
  const found = lines();
  byId("nothing").hidden = found.length > 0;
  byId("differs").replaceChildren(...found.map((line) => {
    const item = element("li", line.words);
    const back = element("button", "Take back", { type: "button", "aria-label": `Take back: ${line.words}` });
    back.addEventListener("click", () => {
      line.back();
      byId("record-head").focus();
    });
    item.append(back);
    return item;
  }));
  byId("record").value = record();
  byId("state").textContent = found.length === 0 ? "All as planned" : found.length === 1 ? "1 thing differs" : `${found.length} things differ`;
}

// Asks about one car; `place` is where it was just found, if it was.
let asked = null;
function ask(id, place) {
  asked = id;
  const car = cars.get(id);
  const fact = facts.cars[id] || {};
  byId("car-head").textContent = id;
  byId("car-what").textContent = `${car.load}, ${car.looks}`;
  byId("planned-words").textContent = `As planned: ${places.get(car.planned) || car.planned}`;
  byId("left-line").hidden = !car.job;
  byId("left-words").textContent = `Nobody moved it: ${car.stood || "where it was"}`;
  const at = place || (fact.at && fact.at !== "left" ? fact.at : "");
  byId("place").value = at;
  byId(at ? "is-at" : fact.at === "left" ? "was-left" : "as-planned").checked = true;
  byId("bad").checked = Boolean(fact.bad);
  suit();
  byId("car").returnValue = "";
  byId("car").showModal();
}

// What does not go together cannot be chosen: a car off the layout is nobody's bad order.
function suit() {
  byId("place").required = byId("is-at").checked;
  const place = byId("is-at").checked ? byId("place").value : byId("was-left").checked ? "" : cars.get(asked).planned;
  const off = session.away.some((one) => one.id === place);
  byId("bad").disabled = off;
  if (off) byId("bad").checked = false;
}

function answered() {
  if (byId("car").returnValue !== "done" || asked === null) return;
  const id = asked;
  const chosen = document.querySelector("input[name=where]:checked").value;
  const place = byId("place").value;
  change(() => {
    const fact = {};
    if (chosen === "left") fact.at = "left";
    if (chosen === "at" && place !== cars.get(id).planned) fact.at = place;
    if (byId("bad").checked) fact.bad = true;
    if (fact.at || fact.bad) facts.cars[id] = fact;
    else delete facts.cars[id];
  });
}

let foundOn = null;
function askOther(track) {
  foundOn = track;
  byId("which").value = "";
  byId("which-wrong").textContent = "";
  byId("other").showModal();
}

function other(event) {
  event.preventDefault();
  const plain = (words) => words.replace(/\s+/g, "").toUpperCase();
  const said = plain(byId("which").value);
  const all = [...cars.keys()];
  const exact = all.filter((id) => plain(id) === said);
  const numbers = all.filter((id) => id.split(" ").pop() === said);
  const found = exact.length ? exact : numbers;
  if (said === "" || found.length !== 1) {
    byId("which-wrong").textContent = found.length > 1 ? `Which one: ${found.join(", ")}?` : "No car of the roster has this mark and number.";
    byId("which").focus();
    return;
  }
  byId("other").close();
  ask(found[0], foundOn);
}

function find() {
  const said = byId("find").value.trim().toLowerCase();
  let seen = 0;
  for (const block of document.querySelectorAll(".track")) {
    const whole = block.dataset.words.includes(said);
    let some = false;
    for (const item of block.querySelectorAll("ol > li")) {
      const match = whole || item.textContent.toLowerCase().includes(said);
      item.hidden = !match;
      some ||= match;
      seen += match ? 1 : 0;
    }
    block.hidden = !(whole || some);
  }
  byId("found").textContent = said === "" ? "" : seen === 1 ? "1 car shown" : `${seen} cars shown`;
}

function save() {
  const name = `record-${String(session.session).padStart(4, "0")}.txt`;
  const link = element("a", "", { download: name, href: URL.createObjectURL(new Blob([record()], { type: "text/plain" })) });
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60000);
  byId("state").textContent = `Saved as ${name}`;
}

async function copy() {
  byId("record").select();
  try {
    await navigator.clipboard.writeText(record());
    byId("state").textContent = "Copied";
  } catch {
    byId("state").textContent = document.execCommand("copy") ? "Copied" : "Selected: copy it by hand";
  }
}

load();
build();
show();
byId("car").addEventListener("close", answered);
byId("place").addEventListener("change", () => {
  if (byId("place").value) byId("is-at").checked = true;
  suit();
});
for (const radio of document.querySelectorAll("input[name=where]")) {
  radio.addEventListener("change", suit);
}
byId("other-form").addEventListener("submit", other);
byId("other-cancel").addEventListener("click", () => byId("other").close());
byId("find").addEventListener("input", find);
byId("save").addEventListener("click", save);
byId("copy").addEventListener("click", copy);
byId("again").addEventListener("click", () => byId("sure").showModal());
byId("sure").addEventListener("close", () => {
  if (byId("sure").returnValue === "yes") change(() => { facts = { cars: {}, jobs: {} }; });
});
addEventListener("storage", (event) => {
  if (event.key === key) {
    load();
    show();
  }
});
