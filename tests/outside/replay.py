"""Replays plan.json from docs/plan-format.md alone, and checks the rules of a valid plan in its own words.

Source of every check: docs/plan-format.md (the format and the handling model) and the numbered rules of a valid plan
in DEVELOPERS.md: 1 one place for each car, 2 room, 3 trains and leads, 4 coupling, 5 where a car may go. What the plan counts for the
host, and its open orders, are counted anew by lists.py.
Nothing here was taken from the program's own code.

usage: replay.py PLAN.json ...        replays each plan; plans of one folder must follow from each other
       replay.py --self-test          feeds broken copies of the documented example, and must see each fail
"""

import copy
import json
import re
import sys
from pathlib import Path

import lists

OPPOSITE = {"west": "east", "east": "west"}


class Replay:
    """One session, done over again with lists of cars."""

    def __init__(self, plan):
        self.plan = plan
        self.faults = []
        world = plan["world"]
        self.places = {p["id"]: p for p in world["places"]}
        self.tracks = {t["id"]: t for t in world["tracks"]}
        self.jobs = {j["id"]: j for j in world["jobs"]}
        self.cars = {c["id"]: c for c in world["cars"]}
        self.links = world["links"]
        self.tons = lists.own_weights(world)
        self.rows = {t: [] for t in self.tracks}  # each a list of [car, spot] from west to east
        self.away = {}
        self.lading = {}
        self.bad, self.dirty = set(), set()
        self.emptied = set()  # whether what was in it soils, the plan does not say
        self.bad_at_start = set()
        self.west, self.east = {}, {}  # the two rows of each train
        self.at, self.call, self.came_in = {}, {}, {}
        self.ended = set()
        self.began = {}  # (job, call) -> where every car was when it began
        self.finished = {}  # (job, call) -> where every car was when it ended
        self.touched = {}
        self.rides = []  # (car, job, from_call, from_track, to_call, to_track)
        self.riding = {}
        self.index = None

    def fault(self, rule, text):
        where = "" if self.index is None else f"event {self.index + 1}: "
        self.faults.append((rule, where + text))

    # -- the whole session ------------------------------------------------------------------

    def run(self):
        if self.plan["format"] != 2:
            self.fault(0, f"format {self.plan['format']} is not described")
            return self
        self.put_before()
        self.rooms()
        events = self.plan["events"]
        self.last_of_call = {}
        for index, event in enumerate(events):
            if event["event"] in ("couple", "leave"):
                self.last_of_call[event["job"], event["call"]] = index
        for self.index, event in enumerate(events):
            try:
                getattr(self, "do_" + event["event"].replace(" ", "_"))(**event)
            except (KeyError, ValueError, AttributeError, TypeError) as problem:
                self.fault(0, f"cannot be replayed: {event['event']}: {problem!r}")
                return self
            self.rooms()
        self.index = None
        for job in self.at:
            if job not in self.ended:
                self.fault(1, f"{job} never ends")
        self.compare_after()
        self.compare_work()
        self.compare_trips()
        self.faults += lists.check(self.plan)
        return self

    def put_before(self):
        seen = set()
        for where, row in self.all_rows(self.plan["before"]):
            for entry in row:
                car = entry["car"]
                if car not in self.cars:
                    self.fault(1, f"{car} is not among the cars")
                if car in seen:
                    self.fault(1, f"{car} is in two places before the session")
                seen.add(car)
                if "lading" in entry:
                    self.lading[car] = entry["lading"]
                if entry.get("bad_order"):
                    self.bad.add(car)
                if entry.get("dirty"):
                    self.dirty.add(car)
                kind, name = where
                if kind == "track":
                    if name not in self.rows:
                        self.fault(1, f"{car} is on {name}, which is no track")
                        continue
                    self.rows[name].append([car, entry.get("spot")])
                else:
                    self.away[car] = where
        for car in self.cars.keys() - seen:
            self.fault(1, f"{car} is nowhere before the session")

    @staticmethod
    def all_rows(rows):
        for track, row in rows["tracks"].items():
            yield ("track", track), row
        for gateway, row in rows["beyond"].items():
            yield ("beyond", gateway), row
        yield ("shelf", None), rows["shelf"]

    # -- where things are -------------------------------------------------------------------

    def where(self):
        """Every car's place: track and spot, train, or off the layout. A car twice is rule 1."""
        found = {}

        def see(car, place):
            if car in found:
                self.fault(1, f"{car} is in two places: {found[car]} and {place}")
            found[car] = place

        for track, row in self.rows.items():
            for car, spot in row:
                see(car, ("track", track, spot))
        for job in self.at:
            for car in self.west[job] + self.east[job]:
                see(car, ("train", job, None))
        for car, (kind, name) in self.away.items():
            see(car, (kind, name, None))
        for car in self.cars.keys() - found.keys():
            self.fault(1, f"{car} is nowhere")
        return found

    def length(self, cars):
        return sum(self.cars[car]["length"] for car in cars)

    def train(self, job):
        return self.west[job] + self.east[job]

    def train_length(self, job):
        return self.jobs[job]["power"] + self.length(self.train(job))

    def weight(self, car):
        described, lading = self.cars[car], self.lading.get(car)
        return described["light"] + (0 if lading is None else self.tons.get(lading, described["capacity"]))

    # -- rule 2: room, at every moment ------------------------------------------------------

    def rooms(self):
        self.where()
        for name, row in self.rows.items():
            track = self.tracks[name]
            cars = [car for car, _ in row]
            if self.length(cars) > track["length"]:
                self.fault(2, f"{name} holds {self.length(cars)} of {track['length']}")
            if len(cars) > track["limits"].get("at_once", len(cars)):
                self.fault(2, f"{name} holds {len(cars)} cars at once")
            spots = {spot["id"]: (order, spot) for order, spot in enumerate(track.get("spots", []))}
            named = [spot for _, spot in row if spot is not None]
            for spot in named:
                if spot not in spots:
                    self.fault(2, f"{spot} is no spot of {name}")
                    return
            if [spots[spot][0] for spot in named] != sorted(spots[spot][0] for spot in named):
                self.fault(2, f"the cars on {name} do not stand in the order of its spots")
            for spot, (_, described) in spots.items():
                there = [car for car, at in row if at == spot]
                if self.length(there) > described.get("length", self.length(there)):
                    self.fault(2, f"{spot} holds {self.length(there)} of {described['length']}")
                if len(there) > described.get("cars", len(there)):
                    self.fault(2, f"{spot} holds {len(there)} cars")

    # -- rule 5: what a track, a place and a link take --------------------------------------

    def passes(self, car, limits, what):
        described = self.cars[car]
        if described["length"] > limits.get("car", described["length"]):
            self.fault(5, f"{car} is too long for {what}")
        height = described.get("height")
        if height is not None and height > limits.get("height", height):
            self.fault(5, f"{car} is too high for {what}")
        weight = self.weight(car)
        if weight > limits.get("weight", weight):
            self.fault(5, f"{car} is too heavy for {what}")

    def stands(self, car, name):
        track = self.tracks[name]
        self.passes(car, track["limits"], name)
        self.passes(car, self.places[track["place"]]["limits"], track["place"])
        if track.get("holds") and self.cars[car]["type"] not in track["holds"]:
            self.fault(5, f"{name} does not take {car}, a {self.cars[car]['type']}")

    def open_to(self, job, name, end):
        """Rules 4 and 5: the engine is there, may work the track, and gets at this end of it."""
        track = self.tracks[name]
        if self.at.get(job) != track["place"] or job in self.ended:
            self.fault(4, f"{job} works {name}, but is at {self.at.get(job)}")
        if self.jobs[job]["railroad"] not in track["worked_by"]:
            self.fault(5, f"{job} of {self.jobs[job]['railroad']} may not work {name}")
        if track["use"] == "engine":
            self.fault(5, f"{name} is for engines")
        if track["opens"] not in (end, "both"):
            self.fault(4, f"{name} does not open at its {end} end")
        before = track.get("behind")
        if before and self.rows[before]:
            self.fault(4, f"{name} lies behind {before}, on which cars stand")

    def lead(self, job, name, end, on_the_road):
        """Rule 3: the longest the train is in a movement fits the lead, unless it is on the road."""
        track = self.tracks[name]
        room = self.places[track["place"]].get("lead_" + end)
        on_the_road = on_the_road and (track["opens"] == "both" or on_the_road == end)
        if room is not None and self.train_length(job) > room and not on_the_road:
            self.fault(3, f"{job} is {self.train_length(job)} long and the {end} lead of {track['place']} {room}")

    def row_for(self, job, end):
        return self.east[job] if end == "west" else self.west[job]

    # -- events before the first job --------------------------------------------------------

    def do_released(self, event, car, lading=None):
        self.before_jobs()
        if not any(car == standing for row in self.rows.values() for standing, _ in row):
            self.fault(7, f"{car} is released, but stands on no track")
        if lading is None:
            self.dirty.discard(car)  # whether it is dirty now is for the rows after to say
            self.emptied.add(car)
        elif car in self.bad:
            self.fault(6, f"{car} is loaded, and is a bad order")
        self.set_lading(car, lading)

    def do_bad_order(self, event, car):
        self.before_jobs()
        if car in self.bad:
            self.fault(6, f"{car} becomes a bad order twice")
        self.bad.add(car)

    def do_lifted(self, event, car, track, gateway):
        self.before_jobs()
        standing = [entry for entry in self.rows[track] if entry[0] == car]
        if not standing:
            self.fault(1, f"{car} is lifted from {track}, where it is not")
            return
        self.rows[track].remove(standing[0])
        self.away[car] = ("beyond", gateway)
        self.bad.discard(car)
        self.dirty.discard(car)
        self.emptied.discard(car)

    def do_placed(self, event, car, track, gateway, lading=None):
        self.before_jobs()
        if car not in self.away:
            self.fault(1, f"{car} is placed, but is on the layout already")
            return
        del self.away[car]
        self.rows[track].append([car, None])
        self.set_lading(car, lading)
        self.stands(car, track)

    def before_jobs(self):
        if self.at:
            self.fault(12, "a hand moves after the first job began")

    def set_lading(self, car, lading):
        self.lading.pop(car, None)
        if lading is not None:
            self.lading[car] = lading

    # -- events of jobs ---------------------------------------------------------------------

    def do_starts(self, event, job, place):
        described = self.jobs[job]
        if not self.at:
            self.bad_at_start = set(self.bad)
        if job in self.at:
            self.fault(12, f"{job} starts twice")
        if place != described["calls"][0]:
            self.fault(12, f"{job} starts at {place}, not at its first call")
        for before in described.get("after", []):
            if before in self.jobs and before not in self.ended:
                self.fault(12, f"{job} starts before {before} is done")
        self.at[job], self.call[job], self.came_in[job] = place, 1, None
        self.west[job], self.east[job] = [], []

    def begin_call(self, job):
        """A call begins with its first movement: other jobs may finish their work there before."""
        key = job, self.call[job]
        if key not in self.began:
            self.began[key] = self.where()
            self.touched[key] = set()

    def do_couple(self, event, job, call, track, end, cars):
        self.check_call(job, call)
        self.open_to(job, track, end)
        row = self.rows[track]
        count = len(cars)
        reach = row[:count] if end == "west" else row[len(row) - count :]
        if not cars or [car for car, _ in reach] != cars:
            self.fault(4, f"{job} couples {cars} at the {end} end of {track}, where {[c for c, _ in reach]} stand")
            return
        self.touched[job, call].update(cars)
        if end == "west":
            self.rows[track] = row[count:]
            self.east[job] = self.east[job] + cars
        else:
            self.rows[track] = row[: len(row) - count]
            self.west[job] = cars + self.west[job]
        last = self.last_of_call[job, call] == self.index
        self.lead(job, track, end, self.goes_out(job) if last else None)

    def do_leave(self, event, job, call, track, end, cars):
        self.check_call(job, call)
        self.open_to(job, track, end)
        names = [left["car"] for left in cars]
        count = len(names)
        first = not self.touched[job, call]
        self.lead(job, track, end, self.came_in[job] if first else None)
        train = self.row_for(job, end)
        reach = train[len(train) - count :] if end == "west" else train[:count]
        if not names or reach != names:
            self.fault(4, f"{job} leaves {names}, but {reach} are at that end of its train")
            return
        self.touched[job, call].update(names)
        left = [[entry["car"], entry.get("spot")] for entry in cars]
        if end == "west":
            self.east[job] = train[: len(train) - count]
            self.rows[track] = left + self.rows[track]
        else:
            self.west[job] = train[count:]
            self.rows[track] = self.rows[track] + left
        for car in names:
            self.stands(car, track)

    def check_call(self, job, call):
        if call != self.call.get(job):
            self.fault(12, f"{job} works call {call}, but is at call {self.call.get(job)}")
        self.begin_call(job)

    def goes_out(self, job):
        """The direction in which the job leaves the call it is at."""
        for event in self.plan["events"][self.index :]:
            if event["event"] == "goes" and event["job"] == job:
                return event["direction"]
        return None

    def do_served(self, event, car, track, service):
        if not any(standing == car for standing, _ in self.rows[track]):
            self.fault(7, f"{car} is served on {track}, where it is not")
        if service not in self.tracks[track].get("offers", []):
            self.fault(7, f"{track} does not offer to {service}")
        if service == "repair":
            self.bad.discard(car)
        elif service == "clean" and car not in self.lading:
            self.dirty.discard(car)
            self.emptied.discard(car)

    def do_goes(self, event, job, call, to, way, direction, train, **rest):
        self.check_call(job, call)
        described = self.jobs[job]
        start = rest["from"]
        if self.at[job] != start or described["calls"][call - 1] != start or described["calls"][call] != to:
            self.fault(12, f"{job} goes from {start} to {to}, which are not its calls {call} and {call + 1}")
        if (train["west"], train["east"]) != (self.west[job], self.east[job]):
            self.fault(1, f"{job} goes with {self.west[job]} and {self.east[job]}, not as its train says")
        self.limits(job, train)
        for place in (start, to):
            count = len(self.train(job))
            if count > self.places[place]["limits"].get("at_once", count):
                self.fault(5, f"{job} calls at {place} with {count} cars at once")
        self.run_over(job, way, start, to, direction)
        self.close_call(job, goes=True)
        self.at[job], self.call[job] = to, call + 1

    def limits(self, job, train):
        """Rule 3: the job's limits, and what the train is said to measure."""
        described, cars = self.jobs[job], self.train(job)
        if train["length"] != self.train_length(job):
            self.fault(3, f"{job} is {self.train_length(job)} long, not {train['length']}")
        tons = sum(self.weight(car) for car in cars)
        if train["tons"] != tons:
            self.fault(3, f"{job} weighs {tons} tons, not {train['tons']}")
        if len(cars) > described.get("max_cars", len(cars)):
            self.fault(3, f"{job} has {len(cars)} cars, more than {described['max_cars']}")
        if self.train_length(job) > described.get("max_length", self.train_length(job)):
            self.fault(3, f"{job} is {self.train_length(job)} long, more than {described['max_length']}")
        if train["tons"] > described.get("max_tons", train["tons"]):
            self.fault(3, f"{job} weighs {train['tons']} tons, more than {described['max_tons']}")

    def run_over(self, job, way, start, to, direction):
        """Rule 5: the way is one of links, and every link takes the train."""
        if way[0] != start or way[-1] != to:
            self.fault(5, f"the way of {job} does not join {start} and {to}")
        first = last = None
        for one, other in zip(way, way[1:]):
            between = [link for link in self.links if {link["west"], link["east"]} == {one, other}]
            if not between:
                self.fault(5, f"{job} runs from {one} to {other}, between which there is no link")
                return
            kept, self.faults = self.faults, []
            tried = []
            for link in between:  # several links may join two places: the train may take any that has room
                self.faults = []
                cars = self.train(job)
                for car in cars:
                    self.passes(car, link["limits"], f"the link {one} - {other}")
                if len(cars) > link["limits"].get("at_once", len(cars)):
                    self.fault(5, f"{len(cars)} cars at once on the link {one} - {other}")
                tried.append(self.faults)
            best = min(range(len(between)), key=lambda which: len(tried[which]))
            self.faults = kept + tried[best]
            leaves = "east" if between[best]["west"] == one else "west"
            first, last = first or leaves, leaves
        if first and first != direction:
            self.fault(5, f"{job} leaves {start} to the {first}, not to the {direction}")
        self.came_in[job] = OPPOSITE[last] if last else None

    def do_ends(self, event, job, place):
        described = self.jobs[job]
        if self.at.get(job) != place or self.call[job] != len(described["calls"]):
            self.fault(12, f"{job} ends at {place}, which is not its last call")
        if self.train(job):
            self.fault(1, f"{job} ends with cars: {self.train(job)}")
        self.begin_call(job)
        self.close_call(job, goes=False)
        self.ended.add(job)

    def close_call(self, job, goes):
        """Notes where every car is when a call ends, and from that which rides began and ended."""
        call = self.call[job]
        began, ends = self.began[job, call], self.where()
        self.finished[job, call] = ends
        train = set(self.train(job)) if goes else set()
        for car in sorted(self.touched[job, call]):
            open_ride = self.riding.get(car)
            if open_ride is None and car in train:
                self.riding[car] = (job, call, began[car][1])
            elif open_ride is not None and car not in train:
                by, from_call, source = self.riding.pop(car)
                self.rides.append((car, by, from_call, source, call, ends[car][1]))
            elif open_ride is None and began[car] != ends[car]:
                self.rides.append((car, job, call, began[car][1], call, ends[car][1]))

    # -- what the plan says of it -----------------------------------------------------------

    def compare_after(self):
        stated = {}
        for (kind, name), row in self.all_rows(self.plan["after"]):
            for entry in row:
                if entry["car"] in stated:
                    self.fault(1, f"{entry['car']} is in two places after the session")
                stated[entry["car"]] = (kind, name, entry.get("spot"))
                if entry.get("bad_order", False) != (entry["car"] in self.bad):
                    self.fault(6, f"{entry['car']} ends as a bad order or not, which no event says")
                if entry.get("dirty", False) != (entry["car"] in self.dirty) and entry["car"] not in self.emptied:
                    self.fault(6, f"{entry['car']} ends dirty or clean, which no event says")
                if kind == "track" and entry.get("lading") != self.lading.get(entry["car"]):
                    self.fault(7, f"{entry['car']} ends with {self.lading.get(entry['car'])} in it")
        real = self.where()
        for car in sorted(real.keys() | stated.keys()):
            if real.get(car) != stated.get(car):
                self.fault(1, f"{car} ends {real.get(car)}, not {stated.get(car)}")
        for track, row in self.plan["after"]["tracks"].items():
            if [entry["car"] for entry in row] != [car for car, _ in self.rows.get(track, [])]:
                self.fault(1, f"the cars on {track} end in another order")

    def compare_work(self):
        calls = {(entry["job"], entry["call"]): entry for entry in self.plan["work"]}
        for key, cars in self.touched.items():
            listed = {line["car"] for line in calls.get(key, {"cars": []})["cars"]}
            along = {car for car in cars if self.began[key][car] == self.finished[key][car] == ("train", key[0], None)}
            for car in sorted(cars - listed - along):
                self.fault(12, f"{key[0]} handles {car} at call {key[1]}, and its list does not have it")
        for key, entry in calls.items():
            if key not in self.began:
                self.fault(12, f"{key[0]} is given work at call {key[1]}, which it does not make")
                continue
            for line in entry["cars"]:
                self.compare_line(key, entry, line)

    def compare_line(self, key, entry, line):
        car, deed = line["car"], line["deed"]
        began, ends = self.began[key].get(car), self.finished[key].get(car)
        said = [(line.get("from"), line.get("from_spot")), (line.get("to"), line.get("to_spot"))]
        real = [(None, None) if at is None or at[0] != "track" else at[1:] for at in (began, ends)]
        if said != real:
            self.fault(12, f"{key[0]}, call {key[1]}: {car} is said to go {said}, and goes {real}")
        touched = car in self.touched[key]
        sense = {
            "pull": line.get("to") is None,
            "spot": line.get("to") is not None,
            "set": line.get("to") is not None,
            "off spot": line.get("to") is not None,
            "hold": touched and said[0] == said[1],
            "leave": not touched and said[0] == said[1],
        }
        if not sense.get(deed, False):
            self.fault(12, f"{key[0]}, call {key[1]}: {car} is no case of {deed}")
        if line.get("from") and self.tracks[line["from"]]["place"] != entry["place"]:
            self.fault(12, f"{key[0]}, call {key[1]}: {car} stands elsewhere")

    def compare_trips(self):
        """Rule 5: every ride is a leg of a trip, and no trip comes through one place twice; rule 6: bad orders."""
        for order in self.plan["orders"]:
            car = order.get("car")
            if order["state"] == "filled" and car in self.bad_at_start and car not in self.lading:
                self.fault(6, f"{car} is a bad order and serves {order['id']}")
        for trip in self.plan["trips"]:
            if trip.get("for_repair", False) and trip["car"] not in self.bad_at_start:
                self.fault(6, f"{trip['car']} goes to be repaired, and is no bad order")
        legs = []
        for trip in self.plan["trips"]:
            places = []
            for leg in trip["legs"]:
                for track in (leg["from"], leg["to"]):
                    place = self.tracks[track]["place"]
                    if places[-1:] != [place]:
                        places.append(place)
                legs.append((trip["car"], leg["job"], leg["from_call"], leg["from"], leg["to_call"], leg["to"]))
            if len(places) != len(set(places)):
                self.fault(5, f"{trip['car']} comes through one place twice: {places}")
        moved = [ride for ride in self.rides if ride[3] != ride[5]]
        for ride in sorted(set(moved) - set(legs)):
            self.fault(5, f"{ride[0]} is moved without a trip: {ride[1:]}")
        for leg in sorted(set(legs) - set(self.rides)):
            self.fault(5, f"{leg[0]} has a leg that is never run: {leg[1:]}")


def follows(earlier, later):
    """Nothing is lost between sessions: one begins where the other ended."""
    faults = []
    if later["session"] != earlier["session"] + 1:
        return [(8, f"session {later['session']} comes after {earlier['session']}")]
    place = lambda rows: {track: [(e["car"], e.get("spot")) for e in row] for track, row in rows["tracks"].items() if row}
    before, after = place(later["before"]), place(earlier["after"])
    for track in sorted(before.keys() | after.keys()):
        if before.get(track) != after.get(track):
            faults.append((8, f"session {later['session']} begins with another row on {track} than the last one left"))
    return faults + lists.follows(earlier, later)


PAGE = (Path(__file__).parents[2] / "docs" / "plan-format.md").read_text(encoding="utf-8")
KEYS = set(re.findall(r"`([a-z_]+)`", PAGE.split("## A short example")[0]))


def undocumented(plan):
    """Keys of a plan that the page does not explain; those that are ids are left out."""
    found = set()

    def look(value, ids=False):
        if isinstance(value, dict):
            for key, inner in value.items():
                if not ids and key not in KEYS:
                    found.add(key)
                look(inner, ids=not ids and key in ("tracks", "beyond", "groups") and isinstance(inner, dict))
        elif isinstance(value, list):
            for inner in value:
                look(inner)

    look(plan)
    return [(0, f"docs/plan-format.md does not explain `{key}`") for key in sorted(found)]


def example():
    return json.loads(re.search(r"```json\n(.*?)```", PAGE, re.S).group(1))


BROKEN = [
    ("a car in two places", 1, lambda p: p["before"]["shelf"].append({"car": "CHT 100"})),
    ("a car nowhere", 1, lambda p: p["before"]["tracks"]["harbor/1"].pop()),
    ("another end", 1, lambda p: p["after"]["tracks"].pop("mill/pit")),
    ("a call that is not on the list", 12, lambda p: p["world"]["jobs"][0]["calls"].__setitem__(2, "mill")),
    ("a train that is not as stated", 1, lambda p: p["events"][2]["train"]["east"].clear()),
    ("a track too short", 2, lambda p: p["world"]["tracks"][1].update(length=539)),
    ("a spot too small", 2, lambda p: p["world"]["tracks"][1]["spots"][0].update(length=539)),
    ("a spot too full", 2, lambda p: p["world"]["tracks"][1]["spots"][0].update(cars=0)),
    ("too many cars on a track", 2, lambda p: p["world"]["tracks"][0]["limits"].update(at_once=1)),
    ("too many cars at once for a place", 5, lambda p: p["world"]["places"][1]["limits"].update(at_once=0)),
    ("too many cars in a train", 3, lambda p: p["world"]["jobs"][0].update(max_cars=0)),
    ("a train too long", 3, lambda p: p["world"]["jobs"][0].update(max_length=1239)),
    ("a train too heavy", 3, lambda p: p["world"]["jobs"][0].update(max_tons=99)),
    ("a train of another length", 3, lambda p: p["events"][2]["train"].update(length=1241)),
    ("a train of another weight", 3, lambda p: p["events"][2]["train"].update(tons=30)),
    ("the wrong car coupled", 4, lambda p: p["events"][1].update(cars=["CHT 101"])),
    ("the wrong end", 4, lambda p: p["events"][3].update(end="east")),
    ("a track that does not open there", 4, lambda p: p["world"]["tracks"][1].update(opens="east")),
    ("a track behind another with cars", 4, lambda p: p["world"]["tracks"][1].update(behind="harbor/1")),
    ("a track that is not the job's", 5, lambda p: p["world"]["tracks"][1].update(worked_by=["GLN"])),
    ("a car too long for a track", 5, lambda p: p["world"]["tracks"][1]["limits"].update(car=539)),
    ("a car too long for a link", 5, lambda p: p["world"]["links"][0]["limits"].update(car=539)),
    ("a car too heavy for a link", 5, lambda p: p["world"]["links"][0]["limits"].update(weight=29)),
    ("a car too high for a place", 5, lambda p: (p["world"]["places"][1]["limits"].update(height=100),
                                                 p["world"]["cars"][0].update(height=101))),
    ("too many cars at once on a link", 5, lambda p: p["world"]["links"][0]["limits"].update(at_once=0)),
    ("no link", 5, lambda p: p["world"]["links"].clear()),
    ("a track that holds other cars", 5, lambda p: p["world"]["tracks"][1].update(holds=["XM"])),
    ("a place twice in a trip", 5, lambda p: p["trips"][0]["legs"].append(dict(p["trips"][0]["legs"][0]))),
    ("a move without a trip", 5, lambda p: p["trips"].clear()),
    ("a lading that came from nowhere", 7, lambda p: p["before"]["tracks"]["harbor/1"][0].pop("lading")),
    ("a car missing on the list", 12, lambda p: p["work"][1]["cars"].clear()),
    ("a bad order that serves an order", 6, lambda p: (p["before"]["tracks"]["harbor/1"][1].update(bad_order=True),
                                                     p["after"]["tracks"]["harbor/1"][0].update(bad_order=True),
                                                     p["orders"][0].update(car="CHT 101"))),
    ("a bad order that mends itself", 6, lambda p: p["before"]["tracks"]["harbor/1"][1].update(bad_order=True)),
    ("a bad order loaded", 6, lambda p: (p["before"]["tracks"]["harbor/1"][1].update(bad_order=True),
                                         p["events"].insert(0, {"event": "released", "car": "CHT 101", "lading": "kaolin"}))),
    ("a sound car that goes to be repaired", 6, lambda p: p["trips"][0].update(for_repair=True)),
    ("a wrong deed on the list", 12, lambda p: p["work"][0]["cars"][1].update(deed="hold")),
    ("a loaded car too heavy for a link", 5, lambda p: p["world"]["links"][0]["limits"].update(weight=99)),
    ("a lading of another weight", 3, lambda p: p["world"]["commodities"][0].update(tons=71)),
    ("a lading that fills the car", 3, lambda p: p["world"]["commodities"][0].pop("tons")),
    ("an order lost before", 8, lambda p: p["before"]["orders"].append({"id": "kaolin#0"})),
    ("an order from nowhere", 8, lambda p: p["before"]["orders"].clear()),
    ("an order lost after", 8, lambda p: p["after"]["orders"].pop()),
    ("an order handed on with another car", 8, lambda p: p["after"]["orders"][0].update(car="CHT 101")),
    ("an order twice", 8, lambda p: p["orders"].append(dict(p["orders"][1]))),
    ("an order without a reason", 8, lambda p: p["orders"][1].update(why="")),
    ("open orders in another order", 8, lambda p: p["after"]["orders"].reverse()),
    ("a sound car that lost its order", 8, lambda p: p["before"]["orders"][0].update(car="CHT 101")),
    ("an order done by nobody", 8, lambda p: p["orders"][0].update(state="done")),
    ("an order filled without a car", 8, lambda p: p["orders"][0].pop("car")),
    ("a car for two orders", 8, lambda p: p["orders"][1].update(state="filled", car="CHT 100")),
    ("a kind that is not counted", 8, lambda p: p["kinds"].clear()),
    ("a kind that nobody asked for", 8, lambda p: p["kinds"][0].update(kinds=["HM"])),
    ("an order counted as filled", 8, lambda p: p["kinds"][0].update(filled=1, unfilled=0)),
    ("an order counted as held", 8, lambda p: p["kinds"][0].update(held=1, unfilled=0)),
    ("a reason that no order has", 8, lambda p: p["kinds"][0]["why"].append("it rains")),
    ("a lane with its own kinds", 8, lambda p: p["orders"][1].update(cars=["HM"])),
    ("a car of a kind that will not do", 6, lambda p: (p["orders"][1].update(state="filled", car="CHT 101", cars=["HM"]),
                                                       p["kinds"][0].update(kinds=["HM"], filled=1, unfilled=0, why=[]))),
    ("a gateway that brought nothing", 10, lambda p: p["gateways"][0].update(received=1)),
    ("a gateway that took nothing", 10, lambda p: p["gateways"][0].update(delivered=1)),
    ("a gateway that is not told of", 10, lambda p: p["gateways"].clear()),
    ("a net that is no difference", 10, lambda p: p["gateways"][0].update(net=0)),
    ("a car standing too many", 10, lambda p: p["gateways"][0].update(standing=2)),
    ("the oldest car, which is not there", 10, lambda p: p["gateways"][0]["oldest"].update(car="CHT 100")),
    ("a gateway that gives too many", 10, lambda p: (p["world"]["gateways"][0].update(limit=0), placed(p))),
    ("a load that nobody is told to put in", 6, lambda p: placed(p)),
    ("a load that is not put in", 6, lambda p: p.update(loads=[{"car": "CHT 100", "lading": "kaolin", "put_in": True,
                                                                "track": "harbor/1"}])),
]


def placed(plan):
    """CHT 101 comes from beyond with kaolin in it."""
    plan["before"]["tracks"]["harbor/1"].pop()
    plan["before"]["beyond"]["away"] = [{"car": "CHT 101"}]
    plan["events"].insert(0, {"event": "placed", "car": "CHT 101", "track": "harbor/1", "gateway": "away", "lading": "kaolin"})
    plan["gateways"][0].update(received=1)


def lead_too_short(plan):
    """The train doubles over in the yard: its lead has room for the engine, not for the car."""
    plan["world"]["places"][0]["lead_west"] = 1239
    again = [dict(plan["events"][1]), dict(plan["events"][1])]
    again[0] = {**again[0], "event": "leave", "cars": [{"car": "CHT 100"}]}
    plan["events"][2:2] = again


def the_next_day():
    """A second session in which nothing happens: what a later session takes over from an earlier one."""
    later = copy.deepcopy(example())
    later.update(session=2, before=copy.deepcopy(later["after"]), events=[])
    return later


FOLLOWS = [
    ("an open order lost overnight", lambda p: p["before"]["orders"].pop()),
    ("a gateway's count that starts anew", lambda p: p["gateways"][0].update(received_in_all=0)),
    ("another car that has been at a gateway longest", lambda p: p["gateways"][0]["oldest"].update(since=1)),
]


def self_test():
    good = Replay(example()).run()
    if good.faults:
        sys.exit(f"self-test: the documented example does not replay: {good.faults}")
    for name, rule, breaking in [*BROKEN, ("a lead too short", 3, lead_too_short)]:
        plan = copy.deepcopy(example())
        breaking(plan)
        if rule not in {found for found, _ in Replay(plan).run().faults}:
            sys.exit(f"self-test: {name} was not seen as a breach of rule {rule}")
    lost = copy.deepcopy(example())
    lost["session"] = 2
    if not undocumented(example() | {"novelty": 1}) or undocumented(example()):
        sys.exit("self-test: a key without a word in the page was not seen")
    if not follows(example(), lost):
        sys.exit("self-test: a session that begins elsewhere than the last one ended was not seen")
    for name, breaking in FOLLOWS:
        later = the_next_day()
        if follows(example(), later):
            sys.exit(f"self-test: a sound next session is refused: {follows(example(), later)}")
        breaking(later)
        if not follows(example(), later):
            sys.exit(f"self-test: {name} was not seen")
    print(f"replay: self-test saw {len(BROKEN) + len(FOLLOWS) + 3} broken plans fail")


def main(paths):
    failed = 0
    last = {}
    for path in sorted(map(Path, paths)):
        plan = json.loads(path.read_text(encoding="utf-8"))
        faults = undocumented(plan) + Replay(plan).run().faults
        ledger = path.parent.parent
        if ledger in last:
            faults += follows(last[ledger], plan)
        last[ledger] = plan
        events = len(plan["events"])
        if faults:
            failed += 1
            print(f"FAILED {path}: {len(faults)} breaches")
            for rule, text in faults[:10]:
                print(f"    rule {rule}, {text}")
        elif not any(event["event"] == "couple" for event in plan["events"]):
            failed += 1
            print(f"FAILED {path}: nothing moves")
        else:
            print(f"passed {path}: {events} events, {len(plan['trips'])} trips")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(self_test() if sys.argv[1:] == ["--self-test"] else main(sys.argv[1:]))
