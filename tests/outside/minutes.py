"""Counts the work of every call of a plan.json anew, and the minutes of it at the plan's pace.

Source: docs/plan-format.md alone (what is counted, and how counts become seconds); nothing was taken from the
program's own code. The default pace is held against the table that it comes from: suggested minutes for a hand-thrown,
hand-uncoupled model layout (common practice, no source), of which the half minute of a short move stands beside the
0.7 minutes that published time norms give a "half-trip" of the prototype.

usage: minutes.py PLAN.json ...
       minutes.py --self-test     counts the documented example by hand, and must see broken copies fail
"""

import copy
import json
import re
import sys
from pathlib import Path

COUNTS = ("handlings", "cars", "couplings", "turnouts", "spots", "run_arounds", "reading")
WORTH = dict(zip(COUNTS, ("handling", "car", "coupling", "turnout", "spot", "run_around", "reading")))
SUGGESTED = {"handling": 30, "car": 6, "coupling": 15, "turnout": 9, "spot": 30, "run_around": 120, "reading": 30, "running": 60}


def movements(plan):
    """Of each call its movements in order: (event, whether cars stay on the track)."""
    standing = {track: len(row) for track, row in plan["before"]["tracks"].items()}
    calls = {}
    for event in plan["events"]:
        kind = event["event"]
        if kind == "lifted":
            standing[event["track"]] -= 1
        elif kind == "placed":
            standing[event["track"]] = standing.get(event["track"], 0) + 1
        elif kind in ("couple", "leave"):
            change = len(event["cars"]) * (1 if kind == "leave" else -1)
            standing[event["track"]] = standing.get(event["track"], 0) + change
            calls.setdefault((event["job"], event["call"]), []).append((event, standing[event["track"]] > 0))
    return calls


def count(moves):
    found = dict.fromkeys(COUNTS, 0)
    place = None  # the track and end at which the engine is
    number = 0
    while number < len(moves):
        event, stay = moves[number]
        here = event["track"], event["end"]
        if place and place[1] != here[1]:
            found["run_arounds"] += 1
        following = moves[number + 1][0] if number + 1 < len(moves) else None
        if (event["event"] == "leave" and following and following["event"] == "couple"
                and following["track"] == here[0] and following["end"] != here[1]):
            found["run_arounds"] += 1
            place = following["track"], following["end"]
            number += 2
            continue
        found["handlings"] += 1
        found["cars"] += len(event["cars"])
        found["couplings"] += 2 if event["event"] == "couple" and stay else 1
        found["turnouts"] += place != here
        if event["event"] == "leave":
            found["spots"] += sum("spot" in car for car in event["cars"])
        place = here
        number += 1
    return found


def seconds(found, pace):
    plain = sum(found[key] * pace[WORTH[key]] for key in COUNTS)
    return -(-plain * pace["crew"] // 100)


def run(links, pace):
    return -(-links * pace["running"] // 60)


def check(plan):
    faults = []
    moves = movements(plan)
    links = {}
    for link in plan["world"]["links"]:
        for pair in ((link["west"], link["east"]), (link["east"], link["west"])):
            links[pair] = min(link["seconds"], links.get(pair, link["seconds"]))
    runs = {(e["job"], e["call"]): sum(links[pair] for pair in zip(e["way"], e["way"][1:]))
            for e in plan["events"] if e["event"] == "goes"}
    reading = {(w["job"], w["call"]): sum(line["deed"] != "leave" for line in w["cars"]) for w in plan["work"]}
    told = {entry["job"]: entry for entry in plan.get("minutes", [])}
    for job in plan["world"]["jobs"]:
        entry = told.pop(job["id"], {"calls": [], "seconds": None})
        if len(entry["calls"]) != len(job["calls"]):
            faults.append(f"{job['id']} has minutes for {len(entry['calls'])} of {len(job['calls'])} calls")
            continue
        total = 0
        for number, line in enumerate(entry["calls"], 1):
            key = job["id"], number
            own = count(moves.get(key, [])) | {"reading": reading.get(key, 0), "links": runs.get(key, 0)}
            own["work"], own["run"] = seconds(own, plan["pace"]), run(own["links"], plan["pace"])
            if own != line:
                faults.append(f"{job['id']}, call {number}: the plan has {line}, counted anew {own}")
            total += own["work"] + own["run"]
        if total != entry["seconds"]:
            faults.append(f"{job['id']}: the plan has {entry['seconds']} seconds, added up anew {total}")
    return faults + [f"{job} has minutes and does not run" for job in told]


def example():
    page = (Path(__file__).parents[2] / "docs" / "plan-format.md").read_text(encoding="utf-8")
    return json.loads(re.search(r"```json\n(.*?)```", page, re.S).group(1))


def self_test():
    good = example()
    if check(good):
        sys.exit(f"self-test: the documented example is not counted alike: {check(good)}")
    # By hand: at the yard one movement with one car, two joints (the other car stays), one turnout, one car to
    # find: 30 + 6 + 30 + 9 + 30 = 105 s; at the mill one movement, one car, one joint, one turnout, one spot, one
    # car to find: 30 + 6 + 15 + 9 + 30 + 30 = 120 s; two runs of 240 s.
    if [line["work"] for line in good["minutes"][0]["calls"]] != [105, 120, 0] or good["minutes"][0]["seconds"] != 705:
        sys.exit("self-test: the documented example does not have the minutes counted by hand")
    if {key: good["pace"][key] for key in SUGGESTED} != SUGGESTED:
        sys.exit("self-test: the default pace is not the suggested one")
    broken = [
        lambda p: p["minutes"][0]["calls"][0].update(work=104),
        lambda p: p["minutes"][0]["calls"][0].update(couplings=1),
        lambda p: p["minutes"][0]["calls"][1].update(run=0),
        lambda p: p["minutes"][0].update(seconds=700),
        lambda p: p["minutes"].clear(),
        lambda p: p["pace"].update(crew=101),
        lambda p: p["pace"].update(running=61),
        lambda p: p["minutes"][0]["calls"][0].update(links=0),
        lambda p: p["events"].pop(3),
    ]
    for number, breaking in enumerate(broken):
        plan = copy.deepcopy(good)
        breaking(plan)
        if not check(plan):
            sys.exit(f"self-test: broken copy {number} was not seen")
    print(f"minutes: self-test saw {len(broken)} broken plans fail")


def main(paths):
    failed = 0
    for path in sorted(map(Path, paths)):
        plan = json.loads(path.read_text(encoding="utf-8"))
        faults = check(plan)
        if not any(entry["seconds"] for entry in plan["minutes"]):
            faults.append("no job takes any time")
        failed += bool(faults)
        total = sum(entry["seconds"] for entry in plan["minutes"])
        print(f"{'FAILED' if faults else 'passed'} {path}: {len(plan['minutes'])} jobs, {total / 60:.0f} minutes")
        for fault in faults[:10]:
            print("    " + fault)
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(self_test() if sys.argv[1:] == ["--self-test"] else main(sys.argv[1:]))
