"""The yard sheets, played from what their pages say alone: whoever keeps a yard by its sheet must never be wrong.

Each yard as its sheet says it stands first, with what every line says comes, goes and moves, must stand as the plan has it after every
call, and at the end as the sheet has it.

Source: the printed page itself, and the events of `plan.json` (docs/plan-format.md); how a yard is kept is common practice, no source.

usage: yards.py SESSION-FOLDER...    (folders of the ledger, with plan.json and paper/)
       yards.py --self-test
"""

import html
import json
import re
import sys
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
    for markup in page.split('<table class="rows">')[1:]:
        title = cells(re.search(r"<h2>(.*?)</h2>", markup, re.S).group(1).replace("<span>", "<td>", 1).replace("</span>", "</td>", 1))[0]
        rows = [(kind, cells(row)) for kind, row in re.findall(r'<tr( class="[^"]*")?>(.*?)</tr>', markup.split("</thead>")[1], re.S)]
        place, _, what = title.partition(": ")
        told = found.setdefault(place, {"calls": []})
        if what.startswith("every yard track"):
            told["after" if what.endswith("over") else "begins"] = {row[0]: [] if row[4] == "clear" else row[4].split(", ") for _, row in rows}
        elif not what:
            for kind, row in rows:
                if not kind and len(row) > 1:
                    told["calls"].append((*re.fullmatch(r"(.*), call (\d+)", row[1]).groups(), row[2:7], []))
                elif "more" in kind:
                    told["calls"][-1][3].extend(row)
    return found


def play(tracks, line):
    """What a line of a yard sheet says, done; how many cars came, went, and moved."""
    known = sorted(tracks, key=len, reverse=True)
    name = "(" + "|".join(map(re.escape, known)) + ")"
    cut = re.compile(rf"{name}(?: to {name})?(?:, (west|east) end|, from west)?: ([^;]*)(?:; )?")
    cuts = []
    while line:
        verb = re.match(r"(goes:|comes:|moves:|then stands) ", line)
        line = line[verb.end() :] if verb else line
        said = cut.match(line)
        if not said:
            raise ValueError(f"{line[:60]!r} cannot be followed")
        line = line[said.end() :]
        cuts.append((verb.group(1) if verb else cuts[-1][0], *said.groups()[:3], said.group(4).split(", ")))
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
    return [counts[verb] for verb in ("comes:", "goes:", "moves:")]


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
        if rows(tracks) != rows(calls[0][2]):
            faults.append(f"{title} does not begin as the plan has it: {tracks}")
        if [call[:2] for call in calls[1:]] != [call[:2] for call in said["calls"]]:
            faults.append(f"{title} has other calls than the plan")
            continue
        for (job, call, stand), (*_, numbers, lines) in zip(calls[1:], said["calls"]):
            try:
                counts = play(tracks, " ".join(lines).strip())
            except ValueError as fault:
                faults.append(f"{title}, {job}, call {call}: {fault}")
                break
            counts.append(sum(map(len, tracks.values())))
            if counts != [int(number) for number in numbers[:4]]:
                faults.append(f"{title}, {job}, call {call}: {numbers[:4]} are told, {counts} are counted")
            if rows(tracks) != rows(stand):
                faults.append(f"{title} does not stand as the plan has it after {job}, call {call}: {tracks}")
                break
        if len(calls) > 1 and said.get("after") != tracks:
            faults.append(f"{title} does not end as its lines say: {tracks}")
    return faults


def main(folders):
    failed = lines = 0
    for folder in map(Path, folders):
        plan = json.loads((folder / "plan.json").read_text(encoding="utf-8"))
        lines += sum(len(calls) - 1 for calls in stands(plan).values())
        for fault in yard_faults(plan, (folder / "paper" / "yard-sheets.html").read_text(encoding="utf-8")):
            failed += 1
            print(f"FAILED {folder.name} {fault}")
    print(f"{'FAILED' if failed else 'passed'} yards: {lines} lines of yard sheets played")
    return bool(failed)


def self_test():
    table = lambda title, *rows: f'<table class="rows"><thead><tr><td><h2><span>{title}</span></h2></td></tr></thead>' + "".join(rows) + "</table>"
    row = lambda *cells: "<tr>" + "".join(f"<td>{cell}</td>" for cell in cells) + "</tr>"
    sheet = lambda line, *counts, after="CHT 4, CHT 1": "".join([
        table("Yard", row("", "Turn, call 1", *counts, "80 ft", ""), f'<tr class="more"><td></td><td>{line}</td></tr>'),
        table("Yard: every yard track when the session begins", row("track 1", "2", "", "", "CHT 1, CHT 2"), row("track 2", "0", "", "", "clear")),
        table("Yard: every yard track when the session is over", row("track 1", "2", "", "", after), row("track 2", "1", "", "", "CHT 2")),
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
    line = "comes: track 1, west end: CHT 4; moves: track 1 to track 2: CHT 2"
    if yard_faults(plan, sheet(line, 1, 0, 1, 3)):
        sys.exit(f"self-test: a sound yard sheet is refused: {yard_faults(plan, sheet(line, 1, 0, 1, 3))}")
    spoilt = [sheet(line, 1, 0, 0, 3), sheet(line, 1, 0, 1, 2), sheet(line, 1, 0, 1, 3, after="CHT 1, CHT 4"), sheet(line.replace("west", "east"), 1, 0, 1, 3), sheet(line.replace(", west end", ""), 1, 0, 1, 3)]
    spoilt += [sheet("comes: track 1, west end: CHT 4", 1, 0, 0, 3), sheet(line, 1, 0, 1, 3).replace("call 1", "call 2"), "<p>No place has a yard track.</p>"]
    if not all(yard_faults(plan, page) for page in spoilt):
        sys.exit("self-test: a broken yard sheet is not seen")
    print(f"yards: self-test saw {len(spoilt)} broken sheets fail")


if __name__ == "__main__":
    sys.exit(self_test() if sys.argv[1:] == ["--self-test"] else main(sys.argv[1:]))
