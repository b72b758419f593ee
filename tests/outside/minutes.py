"""Counts the work of every call of a plan.json anew, the minutes of it at the plan's pace, and with them the call board.

Source: docs/plan-format.md alone (what is counted, and how counts become seconds); nothing was taken from the
program's own code. The default pace is held against the table that it comes from: suggested minutes for a hand-thrown,
hand-uncoupled model layout (common practice, no source), of which the half minute of a short move stands beside the
0.7 minutes that published time norms give a "half-trip" of the prototype.

Where paper/ lies beside the plan, what its switch lists say is added up: the minutes of the calls and of the runs must be the
minutes of the job, and no part of them more than a minute from its seconds.

usage: minutes.py PLAN.json ...
       minutes.py --self-test     counts the documented example by hand, and must see broken copies fail
"""

import copy
import heapq
import json
import re
import sys
import tempfile
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


def links_of(plan):
    links = {}
    for link in plan["world"]["links"]:
        for pair in ((link["west"], link["east"]), (link["east"], link["west"])):
            links[pair] = min(link["seconds"], links.get(pair, link["seconds"]))
    return links


def shortest(links, start, goal):
    known, waiting = {}, [(0, start)]
    while waiting:
        far, place = heapq.heappop(waiting)
        if place not in known:
            known[place] = far
            for (one, other), seconds in links.items():
                if one == place:
                    heapq.heappush(waiting, (far + seconds, other))
    return known.get(goal)


def light_runs(plan, links):
    """Of each job whose engine is left elsewhere: the job before, both places, and the seconds of the links."""
    jobs = {job["id"]: job for job in plan["world"]["jobs"]}
    last, found = {}, {}
    for event in plan["events"]:
        if event["event"] == "starts" and "engine" in jobs[event["job"]]:
            engine = jobs[event["job"]]["engine"]
            before, last[engine] = last.get(engine), event["job"]
            left = jobs[before]["calls"][-1] if before else event["place"]
            if left != event["place"]:
                run_over = shortest(links, left, event["place"])
                found[event["job"]] = before, left, event["place"], run_over
    return found


def check_light(job, line, wanted, links, pace):
    if line is None and wanted is None:
        return []
    if line is None or wanted is None:
        return [f"{job}: the plan has the light run {line}, the events {wanted}"]
    before, left, to, over = wanted
    way = line.get("way", [])
    joined = over is not None and [left, to] == [way[0], way[-1]] and sum(links[pair] for pair in zip(way, way[1:])) == over
    if not joined and (over is not None or way):
        return [f"{job}: its engine is not fetched by the shortest way, {way}"]
    own = {"after": before, "from": left, "to": to, "links": over or 0, "run": run(over or 0, pace)}
    told = {key: value for key, value in line.items() if key != "way"}
    return [f"{job}: the plan has the light run {told}, counted anew {own}"] if own != told else []


def check_board(plan):
    """Every job lasts as long as its minutes, and nobody and no engine is in two at once."""
    faults, taken = [], {}
    jobs, told = {job["id"]: job for job in plan["world"]["jobs"]}, {entry["job"]: entry for entry in plan["minutes"]}
    for job in plan.get("crews", {"jobs": []})["jobs"]:
        entry = told[job["job"]]
        so_far = entry.get("light", {"run": 0})["run"]
        soonest = first = job["begins"] + -(-so_far // 60)
        sound = job["calls"][0][0] == first
        for (begins, ends), line in zip(job["calls"], entry["calls"], strict=True):
            whole = -(-so_far // 60), -(-(so_far + line["work"]) // 60), -(-(so_far + line["work"] + line["run"]) // 60)
            sound = sound and begins >= soonest and ends - begins == whole[1] - whole[0]
            soonest = ends + whole[2] - whole[1]
            so_far += line["work"] + line["run"]
        if not sound or soonest != job["ends"]:
            faults.append(f"{job['job']} does not last as long as its minutes on the call board")
        for who in [*job["people"], jobs[job["job"]].get("engine")]:
            if who is not None:
                taken.setdefault(who, []).append((job["begins"], job["ends"], job["job"]))
    for who, spans in taken.items():
        spans.sort()
        faults += [f"{who} is in {one[2]} and {two[2]} at once" for one, two in zip(spans, spans[1:]) if one[1] > two[0]]
    return faults


def check(plan):
    faults = []
    moves = movements(plan)
    links = links_of(plan)
    light = light_runs(plan, links)
    runs = {(e["job"], e["call"]): sum(links[pair] for pair in zip(e["way"], e["way"][1:]))
            for e in plan["events"] if e["event"] == "goes"}
    reading = {(w["job"], w["call"]): sum(line["deed"] != "leave" for line in w["cars"]) for w in plan["work"]}
    told = {entry["job"]: entry for entry in plan.get("minutes", [])}
    for job in plan["world"]["jobs"]:
        entry = told.pop(job["id"], {"calls": [], "seconds": None})
        if len(entry["calls"]) != len(job["calls"]):
            faults.append(f"{job['id']} has minutes for {len(entry['calls'])} of {len(job['calls'])} calls")
            continue
        faults += check_light(job["id"], entry.get("light"), light.get(job["id"]), links, plan["pace"])
        total = entry.get("light", {"run": 0})["run"]
        for number, line in enumerate(entry["calls"], 1):
            key = job["id"], number
            own = count(moves.get(key, [])) | {"reading": reading.get(key, 0), "links": runs.get(key, 0)}
            own["work"], own["run"] = seconds(own, plan["pace"]), run(own["links"], plan["pace"])
            if own != line:
                faults.append(f"{job['id']}, call {number}: the plan has {line}, counted anew {own}")
            total += own["work"] + own["run"]
        if total != entry["seconds"]:
            faults.append(f"{job['id']}: the plan has {entry['seconds']} seconds, added up anew {total}")
    faults += [f"{job} has minutes and does not run" for job in told]
    return faults or check_board(plan)


def on_lists(plan, folder):
    """What a reader adds up on the switch lists of a plan: by job, its minutes, those of running, and those of each call."""
    for job in plan["world"]["jobs"]:
        path = folder / f"switch-list-{job['id']}.txt"
        if path.exists():
            text = path.read_text(encoding="utf-8").replace("\xa0", " ")
            whole = re.search(r"^Time +about (\d+)\s+min(?:,\s+(\d+)\s+min\s+of\s+it\s+running)?", text, re.M)
            heads = {int(call): int(of or 0) for call, of in re.findall(r"^-{20,}\n(\d+)\. .*?(?:about (\d+) min)?\n-{20,}$", text, re.M)}
            yield job["id"], whole and [int(part or 0) for part in whole.groups()], heads


def check_lists(plan, lists):
    told, faults, looked = {entry["job"]: entry for entry in plan["minutes"]}, [], 0
    for job, whole, calls in lists:
        looked += 1
        if whole is None:
            faults.append(f"{job}: its list does not say how long it takes")
            continue
        entry = told[job]
        runs = sum(line["run"] for line in entry["calls"]) + entry.get("light", {"run": 0})["run"]
        if whole[0] != whole[1] + sum(calls.values()) or whole[0] != -(-entry["seconds"] // 60):
            faults.append(f"{job}: {whole[0]} minutes on its list, the parts are {[*calls.values()]} and {whole[1]} of running")
        parts = [("running", whole[1], runs), *((f"call {call}", said, entry["calls"][call - 1]["work"]) for call, said in calls.items())]
        faults += [f"{job}: {what} has {said} minutes on its list, by the plan {seconds} seconds" for what, said, seconds in parts if abs(said * 60 - seconds) >= 60]
    return faults, looked


def example():
    page = (Path(__file__).parents[2] / "docs" / "plan-format.md").read_text(encoding="utf-8")
    return json.loads(re.search(r"```json\n(.*?)```", page, re.S).group(1))


def with_light_run(plan):
    """The example with a second job at the mill, which fetches the engine that the first leaves in the yard.

    By hand: the first job takes 705 s, so 12 minutes; the light run of 240 s then 4 minutes, and the job has no work.
    """
    plan = copy.deepcopy(plan)
    plan["world"]["jobs"][0]["engine"] = "CHT 7"
    plan["world"]["jobs"].append({**plan["world"]["jobs"][0], "id": "drill", "calls": ["mill"], "crew": 2})
    plan["events"] += [{"event": "starts", "job": "drill", "place": "mill"}, {"event": "ends", "job": "drill", "place": "mill"}]
    light = {"after": "turn", "from": "harbor", "to": "mill", "way": ["harbor", "mill"], "links": 240, "run": 240}
    nothing = dict.fromkeys(plan["minutes"][0]["calls"][2], 0)
    plan["minutes"].append({"job": "drill", "seconds": 240, "light": light, "calls": [nothing]})
    # 105 s are 2 minutes, the run up to 345 s is 4 more, 465 s are 8, and 705 s are 12.
    plan["crews"] = {"people": 2, "minutes": 30, "proved": True, "jobs": [
        {"job": "turn", "people": [1], "begins": 0, "ends": 12, "calls": [[0, 2], [6, 8], [12, 12]]},
        {"job": "drill", "people": [1], "begins": 12, "ends": 16, "calls": [[16, 16]]}]}
    return plan


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
    fetched = with_light_run(good)
    if check(fetched):
        sys.exit(f"self-test: a light run worked out by hand is not counted alike: {check(fetched)}")
    broken = [
        (good, lambda p: p["minutes"][0]["calls"][0].update(work=104)),
        (good, lambda p: p["minutes"][0]["calls"][0].update(couplings=1)),
        (good, lambda p: p["minutes"][0]["calls"][1].update(run=0)),
        (good, lambda p: p["minutes"][0].update(seconds=700)),
        (good, lambda p: p["minutes"].clear()),
        (good, lambda p: p["pace"].update(crew=101)),
        (good, lambda p: p["pace"].update(running=61)),
        (good, lambda p: p["minutes"][0]["calls"][0].update(links=0)),
        (good, lambda p: p["events"].pop(3)),
        (fetched, lambda p: p["minutes"][1].pop("light")),
        (fetched, lambda p: p["minutes"][1]["light"].update(run=239)),
        (fetched, lambda p: p["minutes"][1]["light"].update(way=["harbor"])),
        (fetched, lambda p: p["minutes"][1]["light"].update({"from": "mill"})),
        (fetched, lambda p: p["minutes"][1].update(seconds=0)),
        (fetched, lambda p: p["crews"]["jobs"][1].update(begins=16, calls=[[20, 20]])),
        (fetched, lambda p: p["crews"]["jobs"][1].update(begins=11)),
        (fetched, lambda p: p["crews"]["jobs"][1].update(people=[2], begins=11, ends=15, calls=[[15, 15]])),
    ]
    for number, (sound, breaking) in enumerate(broken):
        plan = copy.deepcopy(sound)
        breaking(plan)
        if not check(plan):
            sys.exit(f"self-test: broken copy {number} was not seen")
    # By hand: 105, 120 and 480 s of running are 705 s, so 12 minutes: 1, 2 and 8 whole ones, and one more for 45 s.
    sound = ("turn", [12, 8], {1: 2, 2: 2, 3: 0})
    if check_lists(good, [sound]) != ([], 1):
        sys.exit(f"self-test: a sound list is refused: {check_lists(good, [sound])}")
    wrong = [("turn", None, {}), ("turn", [11, 8], {1: 2, 2: 2, 3: 0}), ("turn", [12, 8], {1: 2, 2: 2, 3: 1}), ("turn", [12, 9], {1: 2, 2: 1, 3: 0}), ("turn", [12, 7], {1: 3, 2: 2, 3: 0})]
    for lists in wrong:
        if not check_lists(good, [lists])[0]:
            sys.exit(f"self-test: a list that does not add up was not seen: {lists}")
    with tempfile.TemporaryDirectory() as folder:
        rule = "-" * 48
        text = f"Time        about 12 min, 8 min\n            of it running\nMeet\n{rule}\n1. Yard      5:50, about 2 min\n{rule}\n\n{rule}\n2. Mill   about 2 min\n{rule}\n\n{rule}\n3. Yard\n{rule}\n"
        Path(folder, "switch-list-turn.txt").write_text(text, encoding="utf-8")
        if list(on_lists(good, Path(folder))) != [sound]:
            sys.exit(f"self-test: a list is not read: {list(on_lists(good, Path(folder)))}")
    print(f"minutes: self-test saw {len(broken)} broken plans and {len(wrong)} lists that do not add up fail")


def main(paths):
    failed = 0
    for path in sorted(map(Path, paths)):
        plan = json.loads(path.read_text(encoding="utf-8"))
        faults = check(plan)
        if not any(entry["seconds"] for entry in plan["minutes"]):
            faults.append("no job takes any time")
        unsound, looked = check_lists(plan, on_lists(plan, path.parent / "paper"))
        faults += unsound
        if (path.parent / "paper").exists() and looked != len(plan["world"]["jobs"]):
            faults.append(f"{looked} switch lists for {len(plan['world']['jobs'])} jobs")
        failed += bool(faults)
        total = sum(entry["seconds"] for entry in plan["minutes"])
        print(f"{'FAILED' if faults else 'passed'} {path}: {len(plan['minutes'])} jobs, {total / 60:.0f} minutes, {looked} lists")
        for fault in faults[:10]:
            print("    " + fault)
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(self_test() if sys.argv[1:] == ["--self-test"] else main(sys.argv[1:]))
