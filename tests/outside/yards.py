"""The yard sheets, played from what their pages say alone: whoever keeps a yard by its sheet must never be wrong.

Each yard as its sheet says it stands first, with what every line says comes, goes and moves, must stand as the plan has it after every
call, and at the end as the sheet has it. Cars that come from another track of the place, or go to one, must be said to, and no others.
Every engine must stand where the set-up has it without being in the way: nobody may need its track before its first job begins.

Source: the printed page itself, the events of `plan.json` (docs/plan-format.md), and the names of tracks in the description; how a yard is
kept is common practice, no source.

usage: yards.py SESSION-FOLDER...    (folders of the ledger, with plan.json and paper/)
       yards.py --self-test
"""

import html
import json
import re
import sys
import tomllib
from pathlib import Path


def name(car):
    return car if isinstance(car, str) else car["car"]


def cells(markup):
    """The words of every cell of a row."""
    plain = lambda cell: " ".join(html.unescape(re.sub(r"<[^>]*>", "", cell)).split())
    return [plain(cell) for cell in re.findall(r"<t[dh][^>]*>(.*?)</t[dh]>", markup, re.S)]


def yards(page):
    """By the title of each yard what its part of the yard sheets says: standing, calls with the line below each, standing after."""
    found = {}
    # A heading stands in the head of its table, or above it where something stands between.
    for markup in filter(lambda part: "</thead>" in part, page.split("<h2>")[1:]):
        title = cells(markup.split("</h2>")[0].replace("<span>", "<td>", 1).replace("</span>", "</td>", 1))[0]
        rows = [(kind, cells(row)) for kind, row in re.findall(r'<tr( class="[^"]*")?>(.*?)</tr>', markup.split("</thead>")[1], re.S)]
        place, _, what = title.partition(": ")
        told = found.setdefault(place, {"calls": []})
        if what.startswith("yard tracks"):
            told["after" if what.endswith("after the session") else "begins"] = {row[0]: [] if row[4] == "clear" else row[4].split(", ") for _, row in rows}
        elif not what:
            for kind, row in rows:
                if not kind and len(row) > 1:
                    told["calls"].append((*re.fullmatch(r"(.*), call (\d+)", row[1]).groups(), row[2:7], []))
                elif "more" in kind:
                    told["calls"][-1][3].extend(row)
    return found


def play(tracks, line):
    """What a line of a yard sheet says, done; how many cars came, went, and moved, and where each came from or went besides yard tracks."""
    known = sorted(tracks, key=len, reverse=True)
    name = "(" + "|".join(map(re.escape, known)) + ")"
    cut = re.compile(rf"(?:(from|to) )?([^:;]+?)(?: to ([^:;]+?))?(?:, (west|east) end|, from west)?: ([^;]*)(?:; )?")
    cuts, aside = [], {}
    while line:
        verb = re.match(r"(goes:|comes:|moves:|then stands) ", line)
        line = line[verb.end() :] if verb else line
        said = cut.match(line)
        if not said:
            raise ValueError(f"{line[:60]!r} cannot be followed")
        line = line[said.end() :]
        verb, cars = verb.group(1) if verb else cuts[-1][0], said.group(5).split(", ")
        way, one, two, end = said.groups()[:4]
        origin, target = {"from": (one, two), "to": (None, one), None: (one, None)}[way]
        outside = {"goes:": target, "comes:": origin}.get(verb)
        aside.update({car: outside for car in cars} if verb in ("goes:", "comes:") else {})
        track, to = {"goes:": (origin, None), "comes:": (target, None)}.get(verb, (origin, target))
        if outside in tracks or not all(re.fullmatch(name, said) for said in (track, to) if said):
            raise ValueError(f"{verb} {origin} to {target} is no such change")
        cuts.append((verb, track, to, end, cars))
    for verb, track, to, _, cars in cuts:
        if verb in ("goes:", "moves:"):
            tracks[track] = [car for car in tracks[track] if car not in cars]
    counts = {"comes:": 0, "goes:": 0, "moves:": 0, "then stands": 0}
    for verb, track, to, end, cars in cuts:
        counts[verb] += len(cars)
        row = tracks[to or track]
        if verb == "then stands":
            row[:] = cars
        elif verb != "goes:":
            if row and not end:
                raise ValueError(f"{cars} come to {to or track}, where cars stand, and no end is named")
            at = 0 if end == "west" else len(row)
            row[at:at] = cars
    return [counts[verb] for verb in ("comes:", "goes:", "moves:")], aside


def asides(plan):
    """By job, call and car, the track that it is coupled on first, if it is, and the one on which it is left last, if it is."""
    jobs, found = {job["id"]: job["name"] for job in plan["world"]["jobs"]}, {}
    for event in plan["events"]:
        if event["event"] in ("couple", "leave"):
            cars = found.setdefault((jobs[event["job"]], str(event["call"])), {})
            couples = event["event"] == "couple"
            for car in map(name, event["cars"]):
                first, _ = cars.get(car, (event["track"] if couples else None, None))
                cars[car] = (first, None if couples else event["track"])
    return found


def aside_faults(told, moved, yard, names):
    """Cars that a line says come from other tracks of the place, or go to them, against the plan; one name must mean one track throughout."""
    for car, said in told.items():
        first, last = moved[car]
        track = next((track for track in ((last, first) if first in yard else (first, last)) if track and track not in yard), None)
        if (said is None) != (track is None) or names.setdefault(said, track) != track:
            yield f"{car} comes from or goes to {said}, by the plan {track}"


def stands(plan):
    """By place, how its yard tracks stand when the first job begins, then every call that changes them, and how they stand after it."""
    tracks = {track["id"]: track for track in plan["world"]["tracks"] if track["use"] == "yard"}
    rows = {track: [name(car) for car in plan["before"]["tracks"].get(track, [])] for track in tracks}
    jobs = {job["id"]: job["name"] for job in plan["world"]["jobs"]}
    of = lambda place: {track: list(row) for track, row in rows.items() if tracks[track]["place"] == place}
    told, begun = {}, False
    for event in plan["events"]:
        if event["event"] == "starts" and not begun:
            begun, told = True, {place: [(None, None, of(place))] for place in {track["place"] for track in tracks.values()}}
        if event.get("track") not in tracks:
            continue
        row, cars = rows[event["track"]], [name(car) for car in event.get("cars", [])]
        if event["event"] == "lifted":
            row.remove(event["car"])
        elif event["event"] == "placed":
            row.append(event["car"])
        elif event["event"] in ("couple", "leave"):
            row[:] = [car for car in row if car not in cars]
            if event["event"] == "leave":
                at = 0 if event["end"] == "west" else len(row)
                row[at:at] = cars
            place = tracks[event["track"]]["place"]
            here = told[place]
            who = (jobs[event["job"]], str(event["call"]))
            if here[-1][:2] == who:
                here.pop()
            here.append((*who, of(place)))
    # A call that leaves everything as it was is no event of the yard.
    return {place: [calls[0], *(call for before, call in zip(calls, calls[1:]) if call[2] != before[2])] for place, calls in told.items()}


def yard_faults(plan, page):
    """What is wrong with the yard sheets, played from the first line to the last."""
    titles = {place["id"]: place["title"] for place in plan["world"]["places"]}
    told, faults = yards(page), []
    for place, calls in sorted(stands(plan).items()):
        title, said = titles[place], told.get(titles[place])
        if said is None or "begins" not in said:
            faults.append(f"{title} has yard tracks, and no sheet")
            continue
        tracks = {track: list(row) for track, row in said["begins"].items()}
        rows = lambda of: [row for row in of.values()]
        names, moved = {}, asides(plan)
        if rows(tracks) != rows(calls[0][2]):
            faults.append(f"{title} does not begin as the plan has it: {tracks}")
        if [call[:2] for call in calls[1:]] != [call[:2] for call in said["calls"]]:
            faults.append(f"{title} has other calls than the plan")
            continue
        for (job, call, stand), (*_, numbers, lines) in zip(calls[1:], said["calls"]):
            try:
                counts, aside = play(tracks, " ".join(lines).strip())
            except ValueError as fault:
                faults.append(f"{title}, {job}, call {call}: {fault}")
                break
            faults += [f"{title}, {job}, call {call}: {fault}" for fault in aside_faults(aside, moved[job, call], stand, names)]
            counts.append(sum(map(len, tracks.values())))
            if counts != [int(number) for number in numbers[:4]]:
                faults.append(f"{title}, {job}, call {call}: {numbers[:4]} are told, {counts} are counted")
            if rows(tracks) != rows(stand):
                faults.append(f"{title} does not stand as the plan has it after {job}, call {call}: {tracks}")
                break
        if len(calls) > 1 and said.get("after") != tracks:
            faults.append(f"{title} does not end as its lines say: {tracks}")
    return faults


def described(folder):
    """The names of all tracks of a description, by their ids."""
    places = [tomllib.loads(file.read_text(encoding="utf-8")).get("place", {}) for file in folder.glob("*.toml")]
    tracks = [(f"{place}/{track}", told) for part in places for place, of in part.items() for track, told in of.get("track", {}).items()]
    return {track: told.get("name", track.split("/")[1]) for track, told in tracks}


def engines(page):
    """The engines of the set-up, by where they stand, from west."""
    part = page.partition("<h2><span>Engines</span>")[2].partition("<h2>")[0]
    found, at = {}, None
    for row in re.findall(r"<tr[^>]*>.*?</tr>", part, re.S):
        told = cells(row)
        if len(told) == 1 or not any(told[1:]):
            at = re.sub(r"(, at its (west|east) end)?(, from west.*)?$", "", told[0])
        elif at and len(told) > 2 and told[1] not in ("Engine", "caboose", ""):
            found.setdefault(at, []).append(told[1])
    return found


def engine_faults(plan, page, named):
    """Engines of the set-up that stand where others need the track before they leave, that do not fit, or cannot get out in turn."""
    world = plan["world"]
    jobs = {job["id"]: job for job in world["jobs"]}
    titles = {place["id"]: place["title"] for place in world["places"]}
    called = lambda track: [f"{titles[track['place']]}, {words.format(named[track['id']])}" for words in ("{}", "track {}", "{} track")]
    rows = {track: [name(car) for car in row] for track, row in plan["before"]["tracks"].items()}
    first, handled, passed, rounded, ends = {}, {}, {}, {}, {}
    for number, event in enumerate(plan["events"]):
        what, job = event["event"], event.get("job")
        if what == "lifted":
            rows[event["track"]].remove(event["car"])
        elif what == "placed":
            rows.setdefault(event["track"], []).append(event["car"])
        elif what == "starts" and jobs[job].get("engine"):
            first.setdefault(jobs[job]["engine"], (number, jobs[job]))
        elif what in ("couple", "leave"):
            handled.setdefault(event["track"], []).append(number)
            if ends.get((job, event["call"]), event["end"]) != event["end"]:
                rounded.setdefault(event["track"].split("/")[0], []).append(number)
            ends[job, event["call"]] = event["end"]
        elif what == "goes":
            for place in event["way"]:
                passed.setdefault(place, []).append(number)
    told, long = engines(page), {car["id"]: car["length"] for car in world["cars"]}
    here = [engine for row in told.values() for engine in row]
    for engine in first:
        if here.count(engine) != 1:
            yield f"{engine} stands in {here.count(engine)} places of the set-up"
    for at, row in told.items():
        track = next((track for track in world["tracks"] if at in called(track)), None)
        known = [engine for engine in row if engine in first]
        if not track:
            if not at.endswith("no track is free until they leave; put each on when its job begins"):
                yield f"{at} is no track"
            continue
        length = sum(first[engine][1]["power"] for engine in known) + sum(long[car] for car in rows.get(track["id"], []))
        if length > track["length"]:
            yield f"{at}: {length} in stand on {track['length']} in"
        outs = [first[engine][0] for engine in known]
        if track["opens"] != "both" and outs != sorted(outs, reverse=track["opens"] == "east"):
            yield f"{at}: {known} do not leave in turn by the {track['opens']} end"
        for engine, out in zip(known, outs):
            needs = handled.get(track["id"], []) + {"main": passed, "runaround": rounded}.get(track["use"], {}).get(track["place"], [])
            if track["use"] == "main":
                needs += rounded.get(track["place"], [])
            if any(need < out for need in needs):
                yield f"{engine} is in the way on {at} before it leaves"


def main(folders):
    failed = lines = stood = 0
    for folder in map(Path, folders):
        plan = json.loads((folder / "plan.json").read_text(encoding="utf-8"))
        lines += sum(len(calls) - 1 for calls in stands(plan).values())
        paper = lambda form: (folder / "paper" / f"{form}.html").read_text(encoding="utf-8")
        stood += sum(map(len, engines(paper("set-up")).values()))
        for fault in [*yard_faults(plan, paper("yard-sheets")), *engine_faults(plan, paper("set-up"), described(folder.parent.parent))]:
            failed += 1
            print(f"FAILED {folder.name} {fault}")
    print(f"{'FAILED' if failed else 'passed'} yards: {lines} lines of yard sheets played, {stood} engines out of everybody's way")
    return bool(failed)


def self_test():
    table = lambda title, *rows: f'<table class="rows"><thead><tr><td><h2><span>{title}</span></h2></td></tr></thead>' + "".join(rows) + "</table>"
    row = lambda *cells: "<tr>" + "".join(f"<td>{cell}</td>" for cell in cells) + "</tr>"
    sheet = lambda line, *counts, after="CHT 4, CHT 1": "".join([
        table("Yard", row("", "Turn, call 1", *counts, "80 ft", ""), f'<tr class="more"><td></td><td>{line}</td></tr>'),
        table("Yard: yard tracks at the start", row("track 1", "2", "", "", "CHT 1, CHT 2"), row("track 2", "0", "", "", "clear")),
        table("Yard: yard tracks after the session", row("track 1", "2", "", "", after), row("track 2", "1", "", "", "CHT 2")),
    ])
    plan = {
        "before": {"tracks": {"yard/1": [{"car": "CHT 1"}, {"car": "CHT 2"}]}},
        "world": {"places": [{"id": "yard", "title": "Yard"}], "tracks": [{"id": f"yard/{n}", "place": "yard", "use": "yard"} for n in (1, 2)], "jobs": [{"id": "turn", "name": "Turn"}]},
        "events": [
            {"event": "starts", "job": "turn", "place": "yard"},
            {"event": "couple", "job": "turn", "call": 1, "track": "yard/1", "end": "east", "cars": ["CHT 2"]},
            {"event": "leave", "job": "turn", "call": 1, "track": "yard/2", "end": "east", "cars": [{"car": "CHT 2"}]},
            {"event": "leave", "job": "turn", "call": 1, "track": "yard/1", "end": "west", "cars": [{"car": "CHT 4"}]},
        ],
    }
    line = "comes: to track 1, west end: CHT 4; moves: from track 1 to track 2: CHT 2"
    if yard_faults(plan, sheet(line, 1, 0, 1, 3)):
        sys.exit(f"self-test: a sound yard sheet is refused: {yard_faults(plan, sheet(line, 1, 0, 1, 3))}")
    spoilt = [sheet(line, 1, 0, 0, 3), sheet(line, 1, 0, 1, 2), sheet(line, 1, 0, 1, 3, after="CHT 1, CHT 4"), sheet(line.replace("west", "east"), 1, 0, 1, 3), sheet(line.replace(", west end", ""), 1, 0, 1, 3)]
    spoilt += [sheet(line.replace("comes: to", "comes: from house track to"), 1, 0, 1, 3)]
    spoilt += [sheet("comes: to track 1, west end: CHT 4", 1, 0, 0, 3), sheet(line, 1, 0, 1, 3).replace("call 1", "call 2"), "<p>No place has a yard track.</p>"]
    if not all(yard_faults(plan, page) for page in spoilt):
        sys.exit("self-test: a broken yard sheet is not seen")
    plan["events"][-1:-1] = [{"event": "couple", "job": "turn", "call": 1, "track": "yard/house", "end": "west", "cars": ["CHT 4"]}]
    spoilt.append(sheet(line, 1, 0, 1, 3))
    if yard_faults(plan, sheet(line.replace("to track 1,", "from house track to track 1,"), 1, 0, 1, 3)) or not yard_faults(plan, spoilt[-1]):
        sys.exit("self-test: a car that comes from another track of the place is not told from one of the train")
    print(f"yards: self-test saw {len(spoilt) + self_test_engines()} broken sheets fail")


def self_test_engines():
    """Sheets of engines that are seen to be wrong."""
    tracks = [{"id": f"yard/{track}", "place": "yard", "use": use, "opens": opens, "length": 100} for track, use, opens in (("shed", "engine", "east"), ("loop", "runaround", "both"), ("1", "yard", "both"), ("2", "yard", "both"))]
    jobs = [{"id": job, "engine": f"CHT {number}", "power": 40} for number, job in enumerate(("turn", "drill", "extra"), 1)]
    worked = lambda track, end: {"event": "couple", "job": "turn", "call": 1, "track": track, "end": end, "cars": []}
    plan = {
        "before": {"tracks": {}},
        "world": {"places": [{"id": "yard", "title": "Yard"}], "tracks": tracks, "jobs": jobs, "cars": []},
        "events": [{"event": "starts", "job": "turn"}, worked("yard/1", "west"), worked("yard/1", "east"), *({"event": "starts", "job": job} for job in ("drill", "extra"))],
    }
    named = {track["id"]: track["id"].split("/")[1] for track in tracks}
    row = lambda *told: "<tr>" + "".join(f"<td>{cell}</td>" for cell in told) + "</tr>"
    page = lambda *groups: "<h2><span>Engines</span></h2>" + "".join(row(at) + "".join(row("", engine, "a job") for engine in engines) for at, *engines in groups)
    sound = page(("Yard, shed, from west: the first to leave is nearest the switch", "CHT 2", "CHT 1"), ("Yard, track 2, at its west end, from west", "CHT 3"))
    if list(engine_faults(plan, sound, named)):
        sys.exit(f"self-test: sound engines are refused: {list(engine_faults(plan, sound, named))}")
    spoilt = [sound.replace("track 2", other) for other in ("loop", "track 1", "track 3")]
    spoilt += [page(("Yard, shed", "CHT 1", "CHT 2"), ("Yard, track 2", "CHT 3")), page(("Yard, shed", "CHT 2", "CHT 1")), page(("Yard, track 2", "CHT 1", "CHT 2", "CHT 3"))]
    if not all(list(engine_faults(plan, page, named)) for page in spoilt):
        sys.exit("self-test: engines that are in the way are not seen")
    return len(spoilt)


if __name__ == "__main__":
    sys.exit(self_test() if sys.argv[1:] == ["--self-test"] else main(sys.argv[1:]))
