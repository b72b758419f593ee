"""Where placarded cars ride in the trains of plan.json, against the published table.

Source: data/placards.csv, the table of 49 CFR 174.85(d) and what 174.85(c) says of residue, with their own sources, and docs/plan-format.md. A layout may change the table;
then the plan's own numbers and rows stand in for the published ones. Places are found by trying all of them. For model
railroads: real work follows the regulations and the carrier's own rules, and every paper with placarded cars must say so.

The table that holds where a layout says nothing, and the groups of the ladings of layouts, are compared with the published ones, too:
data/placard-groups.csv has the groups, with their sources.

usage: placards.py SESSION ...        folders with plan.json and paper/
       placards.py --table            the built-in table
       placards.py --self-test
"""

import copy
import csv
import json
import subprocess
import sys
import tempfile
from pathlib import Path

import world

CAUTION = ("model railroad", "regulations", "carrier's own rules")


def data(name):
    lines = (Path(__file__).parent / "data" / name).read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


def groups():
    """The group of each lading that the published lists name, or nothing where it has none."""
    return {lading: int(row["group"] or 0) for row in data("placard-groups.csv") for lading in row["ladings"].split()}


def wrong_groups(placards):
    """Ladings of a plan that it puts into another group than the published one."""
    known = groups()
    return [f"{lading} is in group {group}, not {known[lading]}" for lading, group in sorted(placards["groups"].items())
            if known.get(lading, group) != group]


def built_in():
    """The table of a layout that says nothing of one."""
    text = world.LAYOUT.format(scale="HO", tracks="").replace("[commodity.grain]", "[commodity.grain]\nplacard = 2")
    with tempfile.TemporaryDirectory() as folder:
        Path(folder, "layout.toml").write_text(text, encoding="utf-8")
        Path(folder, "cars.csv").write_text(world.ROSTER, encoding="utf-8")
        subprocess.run([world.PROGRAM, "plan", folder, "--seed", "1"], capture_output=True, check=True)
        return json.loads(Path(folder, "ledger", "0001", "plan.json").read_text(encoding="utf-8"))["world"]["placards"]


def differs(placards):
    """What differs in a table from the published one."""
    ours, theirs = stated(placards), published()
    faults = [f"{key} is {ours[key]}, not {theirs[key]}" for key in ("nearest", "nearest_short") if ours[key] != theirs[key]]
    for column in sorted(ours["apart"].keys() | theirs["apart"].keys()):
        differ = ours["apart"].get(column, set()) ^ theirs["apart"].get(column, set())
        faults += [f"group {column[0]}, {'tank' if column[1] else 'other'} cars: {what} differs" for what in sorted(differ)]
    return faults


def published():
    rows = data("placards.csv")
    apart = {}
    for row in rows:
        if row["kind"] == "not_next_to":
            for column in row["applies_to"].split():
                apart.setdefault((int(column[1]), column.endswith("tank")), set()).add(row["param"])
    nearest, short = (int(row["param"]) for row in rows[:2])
    return {"nearest": nearest, "nearest_short": short, "apart": apart}


def residue():
    """How many cars, but for tank cars with placards, ride between a tank car with residue and an engine or an occupied caboose."""
    return next(int(row["param"]) for row in data("placards.csv") if row["applies_to"] == "residue-tank")


def stated(placards):
    apart = {}
    for row in placards["apart"]:
        apart.setdefault((row["group"], row["tank"]), set()).update(row["from"])
    return {"nearest": placards["nearest"], "nearest_short": placards["nearest_short"], "apart": apart}


def least(cars, far, table, caboose):
    """The least place from each end that counts for so many far cars in a train: every first and last place that they could
    have is tried."""
    blocks = [(first, last) for first in range(1, cars + 1) for last in range(first + far - 1, cars + 1)]
    from_ends = lambda first, last, both: min(first, cars + 1 - last) if both else first
    if any(from_ends(first, last, caboose) >= table["nearest"] for first, last in blocks):
        return table["nearest"]
    middle = max(from_ends(first, last, True) for first, last in blocks)
    return max(middle, table["nearest_short"])


def allowed(cars, table, caboose):
    """The places of one far car in a train."""
    most = least(cars, 1, table, caboose)
    return [place for place in range(1, cars + 1) if place >= most and (not caboose or cars + 1 - place >= most)]


class Session:
    def __init__(self, plan):
        self.plan = plan
        self.world = plan["world"]
        self.placards = self.world.get("placards")
        self.kinds = {car["id"]: car["type"] for car in self.world["cars"]}
        self.jobs = {job["id"]: job for job in self.world["jobs"]}
        self.faults, self.trains, self.residues = [], 0, 0
        rows = [*plan["before"]["tracks"].values(), *plan["before"]["beyond"].values(), plan["before"]["shelf"]]
        self.lading = {car["car"]: car.get("lading") for row in rows for car in row}
        self.residue = set()

    def check(self):
        if self.placards is None:
            return self
        self.table = stated(self.placards)
        self.faults += wrong_groups(self.placards)
        for event in self.plan["events"]:
            if event["event"] in ("released", "placed"):
                emptied = event["event"] == "released" and not event.get("lading") and self.group(event["car"]) and self.tank(event["car"])
                (self.residue.add if emptied else self.residue.discard)(event["car"])
                self.lading[event["car"]] = event.get("lading")
            elif event["event"] == "goes" and len(event["way"]) > 1:
                self.train(event)
        return self

    def train(self, event):
        west, east = event["train"]["west"], event["train"]["east"]
        behind = (west if event["direction"] == "east" else east) or (west + east)
        for row in (west[::-1], east):
            if any(self.group(car) or car in self.residue for car in row):
                self.trains += 1
                caboose = self.jobs[event["job"]].get("caboose", False) and row in (behind, behind[::-1])
                self.row(event, row, caboose)

    def group(self, car):
        return self.placards["groups"].get(self.lading[car])

    def tank(self, car):
        return self.kinds[car].startswith("T")

    def far(self, car):
        return self.group(car) == 1 or bool(self.group(car)) and self.tank(car)

    def row(self, event, row, caboose):
        far = sum(map(self.far, row))
        most = least(len(row), far, self.table, caboose) if far else 0
        # A layout that lets placarded cars ride next to the engine lets these, too.
        for car in [car for car in row if car in self.residue and self.table["nearest_short"] > 1]:
            self.residues += 1
            at = row.index(car)
            for what, between in (("engine", row[:at]), *([("caboose", row[at + 1 :])] if caboose else [])):
                covers = [other for other in between if not (self.tank(other) and (self.group(other) or other in self.residue))]
                if len(covers) < residue():
                    self.faults.append(f"{event['job']}: {car} has residue, and no other car than tank cars with placards is between it and the {what}")
        for place, car in enumerate(row, 1):
            wanted = most if self.far(car) else self.table["nearest_short"] if self.group(car) == 4 else 0
            ends = [place, *([len(row) + 1 - place] if caboose else [])]
            if min(ends) < wanted:
                self.faults.append(f"{event['job']}: {car} is {place} of {len(row)}, {wanted} from the ends was possible")
            for other in row[max(place - 2, 0) : place - 1] + row[place : place + 1]:
                kept = self.table["apart"].get((self.group(car), self.tank(car)), set()) & self.is_what(other)
                if kept:
                    self.faults.append(f"{event['job']}: {car} rides next to {other}: {', '.join(sorted(kept))}")

    def is_what(self, car):
        lading, kind = self.lading[car], self.kinds[car]
        if lading is None:
            return set()
        found = {f"group {self.group(car)}"} if self.group(car) else set()
        if lading in self.placards.get("shifts", []) and kind in self.placards.get("open", []):
            found.add("open load")
        if kind.startswith("F") and kind not in ("FA", "FC", "FCA") and not kind.startswith("FB"):
            found.add("loaded flat")
        if kind.startswith("RP"):
            found.add("running engine")
        return found


def papers(folder):
    """Papers that name placarded cars without the caution."""
    said = lambda text: " ".join(text.replace("&#39;", "'").split())
    faults, shown = [], 0
    for path in sorted((folder / "paper").glob("*.txt")):
        text = said(path.read_text(encoding="utf-8"))
        if "PLACARD" in text or "RESIDUE" in text:
            shown += 1
            page = said(path.with_suffix(".html").read_text(encoding="utf-8")) if path.with_suffix(".html").exists() else text
            if not all(word in text and word in page for word in CAUTION):
                faults.append(f"{path.name} shows placarded cars and not the caution")
    return faults, shown


EXAMPLE = {
    "world": {
        "cars": [{"id": f"B {n}", "type": "XM"} for n in range(1, 8)] + [{"id": "T 1", "type": "T"}, {"id": "F 1", "type": "FM"}],
        "jobs": [{"id": "turn", "caboose": True}],
        "placards": {"nearest": 6, "nearest_short": 2, "groups": {"propane": 2},
                     "apart": [{"group": 2, "tank": True, "from": ["loaded flat"]}]},
    },
    "before": {"tracks": {"yard/1": [{"car": "T 1", "lading": "propane"}, {"car": "F 1", "lading": "steel"}]
                          + [{"car": f"B {n}"} for n in range(1, 8)]}, "beyond": {}, "shelf": []},
    "events": [{"event": "goes", "job": "turn", "way": ["a", "b"], "direction": "west",
                "train": {"west": [], "east": ["B 1", "B 2", "B 3", "B 4", "T 1", "B 5", "B 6", "B 7"]}}],
}


def self_test():
    table = published()
    for cars, places in ((8, [4, 5]), (11, [6]), (12, [6, 7]), (3, [2])):
        if allowed(cars, table, True) != places:
            sys.exit(f"self-test: {cars} cars: {allowed(cars, table, True)}, by hand {places}")
    if allowed(2, table, True) or allowed(6, table, False) != [6]:
        sys.exit("self-test: a train of two, or one without a caboose, is wrong")
    if Session(EXAMPLE).check().faults or Session(EXAMPLE).check().trains != 1:
        sys.exit(f"self-test: a sound train is refused: {Session(EXAMPLE).check().faults}")
    near, last, flat, other = (copy.deepcopy(EXAMPLE) for _ in range(4))
    near["events"][0]["train"]["east"] = ["B 1", "B 2", "T 1", "B 3", "B 4", "B 5", "B 6", "B 7"]
    last["events"][0]["train"]["east"] = ["B 1", "B 2", "B 3", "B 4", "B 5", "T 1", "B 6", "B 7"]
    flat["events"][0]["train"]["east"] = ["B 1", "B 2", "B 3", "F 1", "T 1", "B 5", "B 6", "B 7"]
    other["events"][0]["train"] = {"west": ["B 1", "T 1"], "east": []}
    for broken in (near, last, flat, other):
        if not Session(broken).check().faults:
            sys.exit("self-test: a wrong train was not seen")
    # The tank car is emptied before the session: it may ride in any place but next to the engine or the caboose.
    for place in range(8):
        emptied = copy.deepcopy(EXAMPLE)
        emptied["events"].insert(0, {"event": "released", "car": "T 1"})
        emptied["events"][1]["train"]["east"] = [f"B {n}" for n in range(1, 8)]
        emptied["events"][1]["train"]["east"].insert(place, "T 1")
        seen = Session(emptied).check()
        if bool(seen.faults) != (place in (0, 7)) or seen.residues != 1:
            sys.exit(f"self-test: residue in place {place + 1}: {seen.faults}")
    two = copy.deepcopy(emptied)
    two["world"]["cars"].append({"id": "T 2", "type": "T"})
    two["before"]["tracks"]["yard/1"].append({"car": "T 2", "lading": "propane"})
    two["events"].insert(0, {"event": "released", "car": "T 2"})
    two["events"][2]["train"]["east"] = ["T 1", "T 2", "B 1"]
    if len(Session(two).check().faults) != 2:
        sys.exit(f"self-test: two tank cars with residue cover each other: {Session(two).check().faults}")
    grouped = copy.deepcopy(EXAMPLE)
    grouped["world"]["placards"]["groups"] = {"propane": 3}
    if not any("group 3" in fault for fault in Session(grouped).check().faults):
        sys.exit("self-test: propane in group 3 was not seen")
    whole = {"nearest": table["nearest"], "nearest_short": table["nearest_short"],
             "apart": [{"group": group, "tank": tank, "from": sorted(kept)} for (group, tank), kept in table["apart"].items()]}
    if differs(whole):
        sys.exit(f"self-test: the published table is refused: {differs(whole)}")
    for breaking in (lambda t: t.update(nearest=5), lambda t: t["apart"].pop(), lambda t: t["apart"][0]["from"].pop(),
                     lambda t: t["apart"][-1]["from"].append("loaded flat")):
        broken = copy.deepcopy(whole)
        breaking(broken)
        if not differs(broken):
            sys.exit("self-test: a wrong table was not seen")
    print("placards: self-test saw 7 wrong trains, a wrong group and 4 wrong tables fail")


def main(folders):
    if folders == ["--table"]:
        faults = differs(built_in())
        for fault in faults:
            print(f"FAILED placards: {fault}")
        if not faults:
            print("passed placards: the built-in table is the published one")
        return bool(faults)
    faults, trains, shown, residues = [], 0, 0, 0
    for folder in map(Path, folders):
        session = Session(json.loads((folder / "plan.json").read_text(encoding="utf-8"))).check()
        unsaid, papers_shown = papers(folder)
        faults += [f"{folder}: {fault}" for fault in session.faults + unsaid]
        trains, shown, residues = trains + session.trains, shown + papers_shown, residues + session.residues
    for fault in faults[:20]:
        print(f"FAILED placards: {fault}")
    if not faults:
        print(f"passed placards: {trains} trains with placarded cars, {residues} with residue, {shown} papers that show them")
    return bool(faults)


if __name__ == "__main__":
    sys.exit(self_test() if sys.argv[1:] == ["--self-test"] else main(sys.argv[1:]))
