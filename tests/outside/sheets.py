"""Every car on exactly the sheets it should be on: the printed text and pages of a session, against its plan.

Source: none outside; what a form is for is common practice, no source. The cars, and what customers do with those that stand there, are worked out from the events of `plan.json` alone
(docs/plan-format.md): a switch list tells every car that its crew moves, or that stands on a track it works while it works there. The sheets of moves are
held against the events one by one: the verbs, and the cars that are on the engine. A caboose is not in the plan: that an engine cannot pull one
that stands before it, and gets round nothing but by a clear track, is common practice, no source.

usage: sheets.py SESSION-FOLDER...    (folders of the ledger, with plan.json and paper/)
       sheets.py --self-test
"""

import html
import json
import re
import sys
from pathlib import Path


def name(car):
    return car if isinstance(car, str) else car["car"]


def replayed(plan):
    """Every event with what stands on each track before it, from west to east: the whole session is replayed."""
    tracks = {track: [name(car) for car in row] for track, row in plan["before"]["tracks"].items()}
    for event in plan["events"]:
        yield event, tracks
        row = tracks.setdefault(event.get("track"), [])
        if event["event"] == "lifted":
            row.remove(event["car"])
        elif event["event"] == "placed":
            row.append(event["car"])
        elif event["event"] in ("couple", "leave"):
            cars = [name(car) for car in event["cars"]]
            taken, put = (len(cars), []) if event["event"] == "couple" else (0, cars)
            at = 0 if event["end"] == "west" else len(row) - taken
            row[at : at + taken] = put


def met_and_moved(plan):
    """By job, the cars that its crew meets, and those that it moves."""
    met, moved = {job["id"]: set() for job in plan["world"]["jobs"]}, {}
    for event, tracks in replayed(plan):
        if event["event"] in ("couple", "leave"):
            cars = [name(car) for car in event["cars"]]
            met[event["job"]].update(tracks.get(event["track"], []), cars)
            moved.setdefault(event["job"], set()).update(cars)
    return met, moved


def standing(plan, wanted=lambda track, car: True):
    """The cars that stand on the layout before the session, where they are wanted."""
    return {name(car) for track, row in plan["before"]["tracks"].items() for car in row if wanted(track, car)}


def bad_orders(plan):
    """The cars that must be repaired when the first job begins."""
    bad = standing(plan, lambda track, car: car.get("bad_order", False))
    for event in plan["events"]:
        if event["event"] == "bad order":
            bad.add(event["car"])
        elif event["event"] == "lifted" or event["event"] == "served" and event["service"] == "repair":
            bad.discard(event["car"])
    return bad


def expected(plan):
    """By form, the cars that must be on it, and those that may be."""
    met, moved = met_and_moved(plan)
    uses = {track["id"]: track["use"] for track in plan["world"]["tracks"]}
    by_hand = {event["car"] for event in plan["events"] if event["event"] in ("placed", "lifted")}
    oldest = {line["oldest"]["car"] for line in plan.get("gateways", []) if "oldest" in line}
    spotted = {car["car"] for call in plan["work"] for car in call["cars"] if car["deed"] == "spot" and uses[car["to"]] == "spur"}
    forms = {f"switch-list-{job}": cars for job, cars in met.items()} | {f"moves-{job}": cars for job, cars in moved.items()}
    forms["car-cards"] = {trip["car"] for trip in plan["trips"] if trip["legs"]}
    forms["make-up"] = {car for train in plan.get("make_up", []) for block in train["blocks"] for car in block["cars"]}
    forms["set-up"] = standing(plan) | by_hand
    if plan["session"] == 1:
        # Nobody has put a car on the layout yet: there is nothing to take off.
        placed = {event["car"] for event in plan["events"] if event["event"] == "placed"}
        forms["set-up"] -= by_hand - placed
    # And what stands on tracks where roads of the layout meet, comes onto them or is taken from them.
    of_gateways = {track for gateway in plan["world"].get("gateways", []) for track in gateway["takes"] + gateway["gives"]}
    met_on = lambda track: uses.get(track) == "interchange" and track not in of_gateways
    changing = {car["car"] for call in plan["work"] for car in call["cars"] if met_on(car.get("from")) or met_on(car.get("to"))}
    forms["interchange"] = by_hand | oldest | changing | {name(car) for track, row in plan["before"]["tracks"].items() if met_on(track) for car in row}
    bounds = {form: (cars, cars) for form, cars in forms.items()}
    # A car on a spur need not be a customer's: it may wait there for another track.
    on_spurs = standing(plan, lambda track, car: uses[track] == "spur" or "spot" in car)
    for job, cars in met.items():
        # Beside a car that is put near its spot the list tells who stands at the spot.
        told = {car["car"] for call in plan["work"] if call["job"] == job for car in call["cars"]}
        bounds[f"switch-list-{job}"] = (cars, cars | told)
    named = lambda reasons: {car["id"] for car in plan["world"]["cars"] if any(car["id"] in why for why in reasons)}
    on_cards = named([trip.get("why", "") for trip in plan["trips"] if trip["legs"]])
    bounds["car-cards"] = (forms["car-cards"], forms["car-cards"] | on_cards)
    # And one that is on its way comes to its customer in a later session.
    on_their_way = {trip["car"] for trip in plan["trips"] if not trip["arrives"]}
    # Nor need it come tonight where an order says which car it waits for.
    waited_for = named([order["why"] for order in plan.get("orders", []) if order["state"] == "waiting"])
    bounds["customers"] = (spotted, on_spurs | spotted | on_their_way | waited_for)
    # What stands on yard tracks, comes to them or goes from them; and the blocks of the trains that leave the place.
    in_yard = lambda track: uses.get(track) == "yard"
    over = {car["car"] for call in plan["work"] for car in call["cars"] if in_yard(car.get("from")) != in_yard(car.get("to"))}
    in_yards = standing(plan, lambda track, car: in_yard(track)) | over
    bounds["yard-sheets"] = (in_yards, in_yards | forms["make-up"])
    return bounds


def called_bad(text, known):
    """The cars of a switch list in whose rows it says that they are bad orders; a row begins with its box, or with `leave`."""
    called = set()
    for row in re.split(r"\n(?=\[ \]|     \S|\n)", text):
        cars, said = list(known.finditer(row)), " ".join(row.split())
        if re.match(r" +leave +\d+ cars? ", " ".join(row.split("\n"))):
            called.update(car.group() for car in cars if re.search(re.escape(car.group()) + r" \([^)]*BAD ORDER", said))
        elif cars and "BAD ORDER" in said and re.match(r"\[ \]| +leave ", row):
            called.add(cars[0].group())
    return called


def customers_say(plan):
    """By car that stands at a customer: what its sheet must say of it, where the plan tells."""
    moving, serving = {trip["car"] for trip in plan["trips"]}, {order.get("car") for order in plan.get("orders", []) if order["state"] == "filled"}
    loads = {name(car): car.get("lading") for row in plan["before"]["tracks"].values() for car in row}
    released = {event["car"]: event.get("lading") for event in plan["events"] if event["event"] == "released"}
    said = {car: ["BAD ORDER"] for car in bad_orders(plan)}
    for car, lading in loads.items():
        kept = car in serving - moving
        if car in released and not (kept and not released[car]):
            said.setdefault(car, []).append("loaded: released" if released[car] else "empty: released")
        elif car in released:
            said.setdefault(car, []).append("kept to be loaded again")
        elif kept:
            said.setdefault(car, []).append("not released, unloading" if lading else "not released, loading")
    first = {}
    for call in plan["work"]:
        for car in call["cars"]:
            if car.get("from") != car.get("to") or car.get("from_spot") != car.get("to_spot"):
                first.setdefault(car["car"], call["job"])
    jobs = {job["id"]: job["name"] for job in plan["world"]["jobs"]}
    to = {trip["car"]: trip["bound"] for trip in plan["trips"] if trip["arrives"] and len(trip["legs"]) == 1}
    for car in loads.keys() & moving:
        goes = f"leaves by {jobs[first[car]]}:" if car in first else "stays tonight"
        # Where the customer below whose name it stands loads it again, it does not leave.
        said.setdefault(car, []).append((goes, f"moved by {jobs[first[car]]} to", to[car]) if car in to and car in first else goes)
    return said


def standing_rows(text, known):
    """The rows of the customers' sheet of what stands there before the session: customer, car and words."""
    for heading, part in re.findall(r"^-{20,}\n([^\n]*)\n-{20,}\n(?:(?!-{20,}).)*?Standing before the session \(\d+\)\n(.*?)(?:\n\n|\Z)", text, re.DOTALL | re.MULTILINE):
        for row in re.split(r"\n(?=\S)", part):
            yield re.split(r"\s{2,}", heading)[0], known.match(row).group(), " ".join(row.split())


def wording(plan, texts, known):
    """Faults in what the sheets say of cars that are not as all others."""
    bad, (met, _) = bad_orders(plan), met_and_moved(plan)
    faults = []
    for job, cars in met.items():
        called = called_bad(texts[f"switch-list-{job}"], known) if f"switch-list-{job}" in texts else bad & cars
        faults += [f"switch-list-{job}: {car} is {'not ' * (car in bad)}called a bad order" for car in sorted(called ^ (bad & cars))]
    must = customers_say(plan)
    for customer, car, said in standing_rows(texts.get("customers", ""), known):
        told = [words if isinstance(words, str) else words[1] if words[2].startswith(f"{customer}, ") else words[0] for words in must.get(car, [])]
        faults += [f"customers: of {car} it says `{said}`, not `{words}`" for words in told if words not in said]
        if car not in bad and "BAD ORDER" in said:
            faults.append(f"customers: {car} is called a bad order")
    return faults


def in_hand(plan, job):
    """After every move of a job, the verb and the cars on its engine from west to east; a light run before them is none of its events."""
    moves, hand, works = [], [], None
    for event in plan["events"]:
        if event.get("job") != job:
            continue
        if event["event"] in ("couple", "leave"):
            east, cars = event["end"] == "east", [name(car) for car in event["cars"]]
            if works not in (None, event["end"]):
                moves.append(("RUN ROUND", []))
            works = event["end"]
            if event["event"] == "couple":
                hand = cars + hand if east else hand + cars
            else:
                hand = hand[len(cars) :] if east else hand[: len(hand) - len(cars)]
            moves.append(({"couple": "COUPLE", "leave": "CUT OFF"}[event["event"]], hand))
        elif event["event"] == "goes":
            works = None
            moves.append(("GO", hand))
    return moves


def on_the_main(plan, job):
    """For every move as in `in_hand`: which one fetches the first of the cars again that it leaves on a main track at the same call."""
    main = {track["id"] for track in plan["world"]["tracks"] if track["use"] == "main"}
    moves, works = [], None
    for event in plan["events"]:
        if event.get("job") == job and event["event"] in ("couple", "leave", "goes"):
            if event["event"] != "goes" and works not in (None, event["end"]):
                moves.append(None)
            works = None if event["event"] == "goes" else event["end"]
            moves.append(event)
    for number, event in enumerate(moves):
        again = None
        if event and event["event"] == "leave" and event["track"] in main:
            cars = {name(car) for car in event["cars"]}
            then = enumerate(moves[number + 1 :], number + 1)
            again = next((at for at, later in then if later and later["event"] == "couple" and later.get("call") == event["call"] and cars & set(later["cars"])), None)
        yield again


def wrong_moves(plan, texts, known):
    """Faults in the sheets of moves: the verbs, how many cars are on the engine after each move, and which, where that is said."""
    faults = []
    for job in met_and_moved(plan)[0]:
        text = texts.get(f"moves-{job}", "")
        head = re.search(r"^ +No +Do .*Now", text, re.MULTILINE)
        rows = re.findall(r"^\[ \] +\d+  (?:COUPLE|CUT OFF|RUN ROUND|GO) .*(?:\n(?!\[ \]|-).*)*", text, re.MULTILINE)
        told = [(re.match(r"\[ \] +\d+  ([A-Z ]+?)  ", row).group(1), int(row[: head.end() - head.start()].split()[-1])) for row in rows]
        if rows and re.match(r"\[ \] +1  GO +light ", rows[0]):
            rows, told = rows[1:], told[1:]
        wanted = in_hand(plan, job)
        if told != [(verb, len(hand)) for verb, hand in wanted]:
            faults.append(f"moves-{job}: it says {told}, the events are {[(verb, len(hand)) for verb, hand in wanted]}")
            continue
        numbers = [int(row.split()[2]) for row in rows]
        for row, again in zip(rows, on_the_main(plan, job)):
            said = re.search(r"only\s+until\s+move\s+(\d+)", row)
            if (said and int(said.group(1))) != (again and numbers[again]):
                faults.append(f"moves-{job}: cars left on the main are fetched again at move {again and numbers[again]}, it says `{row}`")
        for row, (_, hand) in zip(rows, wanted):
            said = re.search(r"On the engine now, from west:(.*?)\.", row, re.DOTALL)
            if said and known.findall(" ".join(said.group(1).split())) != hand:
                faults.append(f"moves-{job}: it says {' '.join(said.group(1).split())}, on the engine are {hand}")
    return faults


OTHER = {"west": "east", "east": "west"}


def came_in(plan, goes):
    """The end of the place at which a caboose is when its train has come in: behind, or before the engine that shoves all."""
    before, here = goes["way"][-2:]
    behind, ahead = goes["train"][OTHER[goes["direction"]]], goes["train"][goes["direction"]]
    at = next("west" if link["east"] == here else "east" for link in plan["world"]["links"] if {link["west"], link["east"]} == {before, here})
    return OTHER[at] if ahead and not behind else at


def rear(goes):
    """The end of a train at which its caboose rides: beyond the last car from the engine; none where the engine is alone."""
    behind = OTHER[goes["direction"]]
    return behind if goes["train"][behind] else goes["direction"] if goes["train"][goes["direction"]] else None


def round_the_place(plan, job):
    """For every call of a job at which it handles cars: where its caboose comes in and must be in the end, the tracks that are clear all the
    while, those that are clear at each change of ends, and those that are when the job goes."""
    tracks = {track["id"]: track for track in plan["world"]["tracks"]}
    open_at = lambda place, rows: {(track.rsplit("/", 1)[-1], one["use"]) for track, one in tracks.items() if one["place"] == place and one["opens"] == "both" and not rows.get(track)}
    calls, came, works = [], None, None
    for event, rows in replayed(plan):
        own = event.get("job") == job
        if own and event["event"] in ("couple", "leave"):
            clear = open_at(tracks[event["track"]]["place"], rows)
            if works is None:
                calls.append({"came": came, "rear": None, "clear": clear, "rounds": [], "last": set()})
            elif works != event["end"]:
                calls[-1]["rounds"].append(clear)
            calls[-1]["clear"] &= {(handle, use) for handle, use in clear if not event["track"].endswith(f"/{handle}")}
            works = event["end"]
        elif own and event["event"] == "goes":
            if works is not None:
                calls[-1] |= {"rear": rear(event), "last": open_at(event["from"], rows)}
            came, works = came_in(plan, event) if len(event["way"]) > 1 else None, None
    return calls


def one_of(words, tracks):
    """Whether words name one of the tracks, by its handle, great letters or small, or by its use: the plan has no other name of it."""
    said = re.findall(r"[\w-]+", words.lower())
    return any(handle in said or use in said for handle, use in tracks)


def wrong_ways(plan, texts):
    """Faults in how an engine gets round its cars, and its caboose to the rear of the train, as the sheets of moves have it."""
    faults = []
    for job in plan["world"]["jobs"]:
        rows = re.split(r"\n(?=\[ \])", texts.get(f"moves-{job['id']}", "").replace("\n\n", "\n[ ]\n"))
        moves = [re.match(r"\[ \] +\d+  (CABOOSE|RUN ROUND) (.*)", " ".join(row.split("\n"))) for row in rows]
        # Rows of one call stand between two that say that the job goes on.
        goes, told = 0, {}
        for row, move in zip(rows, moves):
            goes += bool(re.match(r"\[ \] +\d+  GO  (?!.*light)", row))
            if move:
                told.setdefault(goes, []).append((move[1], " ".join(move[2].split())))
        worked = [n for n in range(goes + 1) if n in told or not job.get("caboose")]
        for call, n in zip(round_the_place(plan, job["id"]), worked if job.get("caboose") else []):
            faults += [f"moves-{job['id']}: {fault}" for fault in wrong_caboose(call, [words for verb, words in told[n] if verb == "CABOOSE"])]
        ways = [clear for call in round_the_place(plan, job["id"]) for clear in call["rounds"]]
        by = [words.split("by way of ")[-1] for said in told.values() for verb, words in said if verb == "RUN ROUND"]
        faults += [f"moves-{job['id']}: round by {words}, which is not clear" for words, clear in zip(by, ways, strict=True) if words != "running track" and not one_of(words, clear)]
    return faults


def wrong_caboose(call, rows):
    """What is wrong with where a caboose waits and how it is fetched."""
    if len(rows) < 2:
        return [f"of the caboose it says only {rows}"]
    first, last = rows[0], rows[-1]
    aside = call["came"] and not first.startswith(f"{call['came']} end")
    at = lambda row: re.split(r" \d+ ", row)[0]
    if aside and not (one_of(at(first), call["clear"]) and at(last) == at(first)):
        return [f"the caboose waits on a track that is not clear, or is not fetched there: {rows}"]
    if aside or call["rear"] is None:
        return []
    if not last.startswith(f"{call['rear']} end"):
        return [f"the caboose comes to another end than the {call['rear']} end: {rows}"]
    round_by = re.search(r"by way of (.*) to the (west|east) end", last)
    if call["came"] not in (None, call["rear"]) and "by hand" not in last and not (round_by and round_by[2] == call["rear"] and one_of(round_by[1], call["last"])):
        return [f"nothing brings the caboose to the {call['rear']} end: {rows}"]
    return []


def cars_of(path, known):
    """The cars of the layout that a sheet names."""
    text = path.read_text(encoding="utf-8")
    if path.suffix == ".html":
        text = html.unescape(re.sub(r"<[^>]*>", lambda tag: "" if tag.group().startswith(("<b", "</b>")) else " ", text[text.index("<body") :]))
    return set(known.findall(" ".join(text.split())))


def changes_roads(plan, report):
    """Faults in what the interchange report says of cars between railroads: one that jobs of the same railroad set and take stays with it."""
    roads = {job["name"]: job["railroad"] for job in plan["world"]["jobs"]}
    faults, part = [], report.split("Between the railroads of the layout\n")
    for row in re.findall(r"^\[ \] .*(?:\n {6,}\S.*)*", part[1] if len(part) > 1 else "", re.MULTILINE):
        said = re.search(r" set by (.*?); taken by (.*?)(; stays with .*)?$", " ".join(row.split()))
        if said and (roads[said.group(1)] == roads[said.group(2)]) != bool(said.group(3)):
            faults.append(f"interchange: of two jobs of {roads[said.group(1)]} and {roads[said.group(2)]} it says {said.group()}")
    return faults


def loads_unsaid(plan, page):
    """The loads to put in and take out by hand that the page of the set-up does not name in the line of their car."""
    said = {}
    for row in re.findall(r"<tr[ >].*?</tr>", page, re.S):
        for car in re.findall(r'<b class="car">([^<]*)</b>', row):
            said.setdefault(html.unescape(car).replace("\xa0", " "), set()).update(re.findall("put in a load of|take out the load of", row))
    # Before the first session nothing stands on the layout: no load is in a car that could be taken out.
    wanted = [load for load in plan.get("loads", []) if load["put_in"] or plan["session"] > 1]
    words = {True: "put in a load of", False: "take out the load of"}
    return [f"set-up: {load['car']} does not say `{words[load['put_in']]}`" for load in wanted if words[load["put_in"]] not in said.get(load["car"], ())]


def faults_of(bounds, sheets):
    """What is wrong with the sheets: by form, the cars on them."""
    faults = []
    for form, (must, may) in bounds.items():
        if form not in sheets:
            faults += [f"{form} is not there, and {len(must)} cars should be on it"] if must else []
            continue
        faults += [f"{form}: {car} is missing" for car in sorted(must - sheets[form])]
        faults += [f"{form}: {car} should not be on it" for car in sorted(sheets[form] - may)]
    return faults


def main(folders):
    failed = looked = 0
    for folder in map(Path, folders):
        plan = json.loads((folder / "plan.json").read_text(encoding="utf-8"))
        bounds = expected(plan)
        known = re.compile(r"\b(?:" + "|".join(re.escape(car["id"]) for car in plan["world"]["cars"]) + r")\b")
        for kind in ("txt", "html"):
            sheets = {path.stem: cars_of(path, known) for path in (folder / "paper").glob(f"*.{kind}")}
            looked += len(sheets)
            for fault in faults_of(bounds, sheets):
                failed += 1
                print(f"FAILED {folder.name} {kind} {fault}")
        texts = {path.stem: path.read_text(encoding="utf-8") for path in (folder / "paper").glob("*.txt")}
        for fault in wording(plan, texts, known) + wrong_moves(plan, texts, known) + wrong_ways(plan, texts) + changes_roads(plan, texts["interchange"]):
            failed += 1
            print(f"FAILED {folder.name} {fault}")
        for fault in loads_unsaid(plan, (folder / "paper" / "set-up.html").read_text(encoding="utf-8")):
            failed += 1
            print(f"FAILED {folder.name} {fault}")
    print(f"{'FAILED' if failed else 'passed'} sheets: the cars on {looked} sheets")
    return bool(failed)


def broken_words(plan):
    """A plan with a bad order, and sheets that say it where they must not, or not where they must."""
    bad = plan | {"events": [{"event": "bad order", "car": "CHT 3"}, {"event": "released", "car": "CHT 3"}, *plan["events"]]}
    known = re.compile(r"\bCHT [1-8]\b")
    rows = "[ ]  SPOT  CHT 4  E  to 1\n     leave 2 cars\n           CHT 3 (door; BAD ORDER), CHT 2\n"
    customers = f"{'-' * 20}\nMill      Town\n{'-' * 20}\nCar   Load  What\n\nStanding before the session (1)\nCHT 3   E   empty: released; BAD ORDER; mill,\n   Mill\n\n"
    if wording(bad, {"switch-list-turn": rows, "customers": customers}, known):
        sys.exit(f"self-test: sound words are refused: {wording(bad, {'switch-list-turn': rows, 'customers': customers}, known)}")
    for wrong in ({"switch-list-turn": rows.replace("; BAD ORDER", "")}, {"switch-list-turn": rows.replace("to 1", "to 1\n           ! BAD ORDER")}, {"customers": customers.replace("empty: released", "not released")}, {"customers": customers.replace("BAD ORDER; ", "")}):
        if not wording(bad, {"switch-list-turn": rows, "customers": customers} | wrong, known):
            sys.exit(f"self-test: wrong words are not seen: {wrong}")
    again = plan | {"trips": [{"car": "CHT 3", "legs": [{}], "arrives": True, "bound": "Mill, Town"}], "work": [{"job": "turn", "cars": [{"car": "CHT 3", "from": "mill/1", "to": "mill/2"}]}]}
    moved = customers.replace("empty: released; BAD ORDER; mill", "mill; moved by Turn to 2")
    for said, sound in ((moved, True), (moved.replace("moved by Turn to 2", "leaves by Turn: Mill"), False), (moved.replace("Mill  ", "Works "), False)):
        if bool(wording(again, {"customers": said}, known)) == sound:
            sys.exit(f"self-test: of a car that its customer loads again: {wording(again, {'customers': said}, known)}")


def broken_moves(plan):
    """A sheet of moves, and what must be seen on it."""
    known = re.compile(r"\bCHT [1-8]\b")
    text = """     No  Do      At            Now  Cars
[ ]   1  COUPLE  east end of 1   1  CHT 4
         On the engine now, from west: CHT 4,
         engine.
[ ]   2  RUN ROUND  to the west  0  engine
[ ]   3  CUT OFF  west end of 1  0  CHT 4
"""
    kept = plan | {
        "world": plan["world"] | {"tracks": [*plan["world"]["tracks"], {"id": "mill/m", "use": "main"}]},
        "events": [*plan["events"][:2], *({"event": what, "job": "turn", "call": 1, "track": "mill/m", "end": end, "cars": cars} for what, end, cars in (("leave", "east", [{"car": "CHT 4"}]), ("couple", "west", ["CHT 4"])))],
    }
    main = """     No  Do      At            Now  Cars
[ ]   1  COUPLE  east end of 1   1  CHT 4
[ ]   2  CUT OFF  east end of m  0  CHT 4; only until
                                    move 4
[ ]   3  RUN ROUND  to the west  0  engine
[ ]   4  COUPLE  west end of m   1  CHT 4
"""
    for said, sound in ((main, True), (main.replace("move 4", "move 3"), False), (re.sub(r"; only until\s+move 4", "", main), False)):
        if bool(wrong_moves(kept, {"moves-turn": said}, known)) == sound:
            sys.exit(f"self-test: of cars left on the main: {wrong_moves(kept, {'moves-turn': said}, known)}")
    for wrong in ("", " 1  CHT 4", "now, from west: CHT 4", "RUN ROUND", "[ ]   3  CUT OFF"):
        broken = text.replace(wrong, {" 1  CHT 4": " 2  CHT 4", "now, from west: CHT 4": "now, from west: CHT 3", "RUN ROUND": "GO       ", "[ ]   3  CUT OFF": "         CUT OFF"}.get(wrong, ""))
        if bool(wrong) != bool(wrong_moves(plan, {"moves-turn": broken if wrong else text}, known)):
            sys.exit(f"self-test: of a sheet of moves with another `{wrong}` it says {wrong_moves(plan, {'moves-turn': broken if wrong else text}, known)}")


def broken_ways():
    """A caboose that comes in at the end at which the engine will be, and a run-around: what the sheet must say of both."""
    leave = lambda track, end, *cars: {"event": "leave", "job": "turn", "track": track, "end": end, "cars": [{"car": car} for car in cars]}
    couple = lambda track, end, *cars: {"event": "couple", "job": "turn", "track": track, "end": end, "cars": list(cars)}
    goes = lambda way, direction, west, east: {"event": "goes", "job": "turn", "from": way[0], "way": way, "direction": direction, "train": {"west": west, "east": east}}
    both = lambda track: {"id": f"mill/{track}", "place": "mill", "opens": "both", "use": "yard"}
    plan = {
        "world": {"jobs": [{"id": "turn", "caboose": True}], "links": [{"west": "yard", "east": "mill"}], "tracks": [both("loop"), both("north"), both("1") | {"id": "yard/1", "place": "yard"}]},
        "before": {"tracks": {"yard/1": [{"car": "CHT 1"}]}},
        "events": [couple("yard/1", "east", "CHT 1"), goes(["yard", "mill"], "east", ["CHT 1"], []), leave("mill/loop", "east", "CHT 1"), couple("mill/loop", "west", "CHT 1"), goes(["mill", "yard"], "west", [], ["CHT 1"])],
    }
    text = """[ ]   1  CABOOSE  west end   0  leave it
[ ]   2  COUPLE   east end   1  CHT 1
[ ]   3  CABOOSE  west end   1  shove
[ ]   4  GO       east       1  1 car to mill
[ ]   5  CABOOSE  north track  1  cut it off
[ ]   6  CUT OFF  loop  0  CHT 1
[ ]   7  RUN ROUND  to the west end  0  engine alone, by way of
                                        running track
[ ]   8  COUPLE   loop  1  CHT 1
[ ]   9  CABOOSE  north track  1  shove
[ ]  10  GO       west       1  1 car to yard
"""
    round_it = text.replace("north track  1  cut", "west end  1  cut").replace("north track  1  shove", "east end  1  take it by way of loop to the east end")
    by_hand = round_it.replace("take it by way of loop to the east end", "lift it by hand")
    for good in (text, round_it, by_hand, text.replace("running track", "north track")):
        if wrong_ways(plan, {"moves-turn": good}):
            sys.exit(f"self-test: sound ways are refused: {wrong_ways(plan, {'moves-turn': good})}")
    wrong = [text.replace("running track", "loop"), text.replace("north track  1  cut", "loop  1  cut"), text.replace("north track  1  shove", "west end  1  shove"), text.replace("   9  CABOOSE", "   9  COUPLE")]
    wrong += [round_it.replace("take it by way of loop to the east end", "shove"), round_it.replace("of loop", "of nowhere"), text.replace("west end   1  shove", "east end   1  shove")]
    for broken in wrong:
        if not wrong_ways(plan, {"moves-turn": broken}):
            sys.exit(f"self-test: a wrong way is not seen: {broken}")


def self_test():
    plan = {
        "session": 2,
        "before": {"tracks": {"yard/1": [{"car": "CHT 1"}, {"car": "CHT 2"}], "mill/1": [{"car": "CHT 3", "spot": "mill/1/door"}]}},
        "world": {"tracks": [{"id": "yard/1", "use": "yard"}, {"id": "mill/1", "use": "spur"}], "jobs": [{"id": "turn", "name": "Turn", "engine": "CHT 9"}], "cars": [{"id": f"CHT {n}"} for n in range(1, 5)]},
        "events": [
            {"event": "placed", "car": "CHT 4", "track": "yard/1"},
            {"event": "couple", "job": "turn", "track": "yard/1", "end": "east", "cars": ["CHT 4"]},
            {"event": "leave", "job": "turn", "track": "mill/1", "end": "west", "cars": [{"car": "CHT 4"}]},
        ],
        "work": [],
        "trips": [{"car": "CHT 4", "legs": [{}], "arrives": True, "bound": "Mill, Town"}],
    }
    good = {"switch-list-turn": {"CHT 1", "CHT 2", "CHT 3", "CHT 4"}, "moves-turn": {"CHT 4"}, "car-cards": {"CHT 4"}, "make-up": set(), "set-up": {"CHT 1", "CHT 2", "CHT 3", "CHT 4"}, "interchange": {"CHT 4"}, "customers": {"CHT 3"}, "yard-sheets": {"CHT 1", "CHT 2"}}
    if faults_of(expected(plan), good):
        sys.exit(f"self-test: sound sheets are refused: {faults_of(expected(plan), good)}")
    broken = [good | {form: cars - {"CHT 4"}} for form, cars in good.items() if "CHT 4" in cars]
    broken += [good | {form: cars | {"CHT 8"}} for form, cars in good.items()] + [{form: cars for form, cars in good.items() if form != "moves-turn"}, good | {"yard-sheets": {"CHT 1"}}]
    broken_words(plan)
    broken_moves(plan)
    broken_ways()
    seen = [sheets for sheets in broken if faults_of(expected(plan), sheets)]
    if len(seen) != len(broken):
        sys.exit(f"self-test: only {len(seen)} of {len(broken)} broken sheets are seen")
    jobs = {"world": {"jobs": [{"name": "Turn, late", "railroad": "a"}, {"name": "Drill", "railroad": "a"}, {"name": "Transfer", "railroad": "b"}]}}
    report = "Between the railroads of the layout\n[ ]  CHT 1  E  set by Turn, late;\n               taken by Drill; stays with A\n[ ]  CHT 2  E  set by Drill; taken by Transfer\n     A: set here 2 cars\n"
    if changes_roads(jobs, report) or not changes_roads(jobs, report.replace("; stays with A", "")) or not changes_roads(jobs, report.replace("Transfer", "Transfer; stays with B")):
        sys.exit("self-test: cars that change railroads are not told from those that stay")
    loads = {"session": 2, "loads": [{"car": "CHT 1", "put_in": True}, {"car": "CHT 2", "put_in": False}]}
    row = lambda car, words: f'<tr><td><b class="car">{car}</b></td><td><strong>{words}</strong></td></tr>'
    good = row("CHT\xa01", "put in a load of ore") + row("CHT\xa02", "take out the load of ore")
    if loads_unsaid(loads, good) or len(loads_unsaid(loads, good.replace("put in", "take").replace("CHT\xa02", "CHT\xa03"))) != 2:
        sys.exit("self-test: loads that are named are not told from loads that are not")
    print(f"sheets: self-test saw {len(broken)} broken sheets fail, eight with wrong words or moves, and seven with wrong ways")


if __name__ == "__main__":
    sys.exit(self_test() if sys.argv[1:] == ["--self-test"] else main(sys.argv[1:]))
