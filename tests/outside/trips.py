"""What a session delivers, against an exact solver.

On 60 small layouts drawn by chance (small_layouts.py) two sessions are planned, and for each the best choice of legs is
found by OR-Tools' CP-SAT solver. The model below was written from docs/plan-format.md and from the rules of a valid plan in
DEVELOPERS.md, not from the program: rule 2 (tracks and spots hold what stands on them between calls), rule 3 (trains), rule
5 (links, tracks and roads that take a car, no place twice in one delivery) and rule 12 (the order of events). It leaves
out how a crew does its work inside a call, so its optimum is an upper bound of what any plan can reach.

Worth is compared in this order: how many promised or perishable cars arrive; then the sessions that all who arrive have
waited, this one counted. The share of a session is that of the first of the two in which it falls short. The project asks for
97 % of what is possible in the mean of all sessions, and for 90 % in each.

usage: trips.py [NUMBER ...]          those layouts only; KEEP=FOLDER keeps those that fall short
       trips.py --self-test
"""

import copy
import json
import os
import re
import shutil
import subprocess
import sys
import tempfile
import tomllib
from fractions import Fraction
from pathlib import Path

from ortools.sat.python import cp_model

import small_layouts
from world import PROGRAM, ROOT

LAYOUTS = range(60)
SESSIONS = 2
WAITS = ("yard", "storage", "interchange", "staging")  # docs/layout.md: where cars wait, besides tracks that are `off_spot`
MEAN = Fraction(97, 100)  # of all sessions
LEAST = Fraction(90, 100)  # of each


class Session:
    """A plan as the model needs it."""

    def __init__(self, plan, off_spot=()):
        world = plan["world"]
        self.plan = plan
        self.places = {place["id"]: place for place in world["places"]}
        self.tracks = {track["id"]: track for track in world["tracks"]}
        self.spots = {spot["id"]: (track["id"], spot) for track in world["tracks"] for spot in track.get("spots", [])}
        self.jobs = {job["id"]: job for job in world["jobs"]}
        self.cars = {car["id"]: car for car in world["cars"]}
        self.off_spot = set(off_spot) & set(self.tracks)
        self.calls = list(self.row())
        self.index = {(job, call): which for which, (job, call, _) in enumerate(self.calls)}
        self.stands, self.lading = {}, {}
        self.before_jobs()
        self.ways = {(event["job"], event["call"]): event["way"] for event in plan["events"] if event["event"] == "goes"}

    def row(self):
        """All calls in the order of events: a call begins with its first movement, or when the job goes on."""
        seen = set()
        for event in self.plan["events"]:
            if event["event"] not in ("couple", "leave", "goes", "ends"):
                continue
            job, places = event["job"], self.jobs[event["job"]]["calls"]
            call = event.get("call", len(places))
            if (job, call) not in seen:
                seen.add((job, call))
                yield job, call, places[call - 1]

    def before_jobs(self):
        """The standing once all hand moves are made."""
        for track, row in self.plan["before"]["tracks"].items():
            for entry in row:
                self.stands[entry["car"]] = (track, entry.get("spot"))
        rows = self.plan["before"]
        for row in [*rows["tracks"].values(), *rows["beyond"].values(), rows["shelf"]]:
            self.lading.update({entry["car"]: entry["lading"] for entry in row if "lading" in entry})
        for event in self.plan["events"]:
            if event["event"] == "lifted":
                del self.stands[event["car"]]
            elif event["event"] == "placed":
                self.stands[event["car"]] = (event["track"], None)
            if event["event"] in ("released", "placed"):
                self.lading.pop(event["car"], None)
                if "lading" in event:
                    self.lading[event["car"]] = event["lading"]

    def following(self, which):
        job, call, _ = self.calls[which]
        return self.index.get((job, call + 1))

    def weight(self, car):
        described = self.cars[car]
        return described["light"] + (described["capacity"] if car in self.lading else 0)

    def passes(self, car, limits):
        described = self.cars[car]
        return (
            described["length"] <= limits.get("car", described["length"])
            and described.get("height", 0) <= limits.get("height", described.get("height", 0))
            and self.weight(car) <= limits.get("weight", self.weight(car))
        )

    def links(self, which):
        """For each piece of the run from a call to the job's next, the limits of the links that join it."""
        job, call, _ = self.calls[which]
        way = self.ways[job, call]
        return [
            [link["limits"] for link in self.plan["world"]["links"] if {link["west"], link["east"]} == set(piece)]
            for piece in zip(way, way[1:])
        ]

    def may_ride(self, car, which):
        beyond = self.calls[self.following(which)][2]
        pieces = self.links(which)
        return self.passes(car, self.places[beyond]["limits"]) and all(
            any(self.passes(car, limits) for limits in piece) for piece in pieces
        )

    def may_work(self, which, track):
        job, _, place = self.calls[which]
        described = self.tracks[track]
        return (
            described["place"] == place
            and described["use"] != "engine"
            and self.jobs[job]["railroad"] in described["worked_by"]
        )

    def takes(self, car, track):
        described = self.tracks[track]
        kinds = described.get("holds")
        return (
            (not kinds or self.cars[car]["type"] in kinds)
            and self.passes(car, described["limits"])
            and self.passes(car, self.places[described["place"]]["limits"])
        )

    def position(self, goal):
        """A goal is a spot, or a track without spots."""
        return (self.spots[goal][0], goal) if goal in self.spots else (goal, None)

    def worth(self, trip):
        return self.plan["session"] - trip["since"] + 1


class Model:
    """All choices of legs that tracks, spots, trains, links and the order of events allow."""

    def __init__(self, session):
        self.session = session
        self.model = cp_model.CpModel()
        self.slots = len(session.calls) + 1  # slot k is before call k
        self.standing = {}  # (track, spot), slot -> [(car, whether it is there)]
        self.riding = {}  # call -> [(car, whether it rides to the job's next call)]
        self.pulled, self.left = {}, {}  # (car, call, track, spot) -> [whether]
        self.arrives = {}
        trips = {trip["car"]: trip for trip in session.plan["trips"] if trip["car"] in session.stands}
        for car, position in session.stands.items():
            if car in trips and trips[car]["goals"] and all(trips[car]["goals"]):
                self.car(car, position, trips[car])
            else:
                for slot in range(self.slots):
                    self.standing.setdefault((position, slot), []).append((car, 1))
        self.rooms()
        self.trains()

    def flag(self):
        return self.model.new_bool_var("")

    def car(self, car, start, trip):
        """One car: where it stands at each slot and in which train it rides, stage by stage of its delivery."""
        session, calls = self.session, range(self.slots - 1)
        stages = [[session.position(goal) for goal in goals] for goals in trip["goals"]]
        last = len(stages)
        waits = [(name, None) for name, track in session.tracks.items()
                 if track["use"] in WAITS or name in session.off_spot]
        now = {(0, start): 1}  # (stage, position) -> whether it stands there
        riding = {}  # (stage, call) -> whether it rides on from that call
        left_by_train = {}  # (stage, place) -> [(call, whether)]
        begins = {(0, session.tracks[start[0]]["place"]): [1]}  # (stage, place) -> whether the stage begins there
        for (stage, position), there in now.items():
            self.standing.setdefault((position, 0), []).append((car, there))
        for call in calls:
            job, number, place = session.calls[call]
            came_from = session.index.get((job, number - 1))
            following = dict(now)
            gone = dict.fromkeys(range(last), 0)
            for (stage, position), there in now.items():
                if stage < last and session.may_work(call, position[0]):
                    pull = self.flag()
                    self.model.add(pull <= there)
                    self.pulled.setdefault((car, call, *position), []).append(pull)
                    following[stage, position] = following[stage, position] - pull
                    gone[stage] = gone[stage] + pull
            for stage in range(last):
                came = riding.get((stage, came_from), 0)
                arrivals = []
                for position in dict.fromkeys([*stages[stage], *waits]):
                    if not session.may_work(call, position[0]) or not session.takes(car, position[0]):
                        continue
                    for then in [stage, stage + 1] if position in stages[stage] else [stage]:
                        leave = self.flag()
                        arrivals.append(leave)
                        self.left.setdefault((car, call, *position), []).append(leave)
                        following[then, position] = following.get((then, position), 0) + leave
                        if then > stage:
                            begins.setdefault((then, place), []).append(leave)
                if session.following(call) is not None and session.may_ride(car, call):
                    riding[stage, call] = self.flag()
                    self.riding.setdefault(call, []).append((car, riding[stage, call]))
                on = riding.get((stage, call), 0)
                self.model.add(came + gone[stage] == on + sum(arrivals))
                if (stage, came_from) in riding:
                    set_down = self.flag()
                    self.model.add(set_down >= came - on)
                    left_by_train.setdefault((stage, place), []).append((call, set_down))
            now = {}
            for key, there in following.items():
                if isinstance(there, int):
                    if there:
                        now[key] = there
                    continue
                now[key] = self.flag()
                self.model.add(now[key] == there)
            for (stage, position), there in now.items():
                self.standing.setdefault((position, call + 1), []).append((car, there))
        self.once(riding, left_by_train, begins)
        self.arrives[car] = sum(there for (stage, _), there in now.items() if stage == last)

    def once(self, riding, left_by_train, begins):
        """Rule 5: no place twice in one delivery: neither set down twice, nor in a train that calls where it stood or
        that comes back to where it was while the car is in it."""
        session = self.session
        for (stage, call), on in riding.items():
            arrival = session.following(call)
            place = session.calls[arrival][2]
            self.model.add(on + sum(begins.get((stage, place), [])) <= 1)
            for earlier, set_down in left_by_train.get((stage, place), []):
                if earlier < arrival:
                    self.model.add(on + set_down <= 1)
            run, at = [], call
            while at is not None:  # back along the job
                run.append(riding.get((stage, at), 0))
                if session.calls[at][2] == place:
                    self.model.add(sum(run) <= len(run) - 1)
                job, number, _ = session.calls[at]
                at = session.index.get((job, number - 1))
        for (stage, place), times in left_by_train.items():
            self.model.add(sum(times_down for _, times_down in times) + sum(begins.get((stage, place), [])) <= 1)

    def rooms(self):
        """Rule 2, after every call."""
        session = self.session
        on_track = {}
        for ((track, spot), slot), there in self.standing.items():
            on_track.setdefault((track, slot), []).extend(there)
            if spot is not None and slot > 0:
                described = session.spots[spot][1]
                self.at_most([(1, flag) for _, flag in there], described.get("cars"))
                self.at_most([(session.cars[car]["length"], flag) for car, flag in there], described.get("length"))
        for (track, slot), there in on_track.items():
            if slot > 0:
                described = session.tracks[track]
                self.at_most([(session.cars[car]["length"], flag) for car, flag in there], described["length"])
                self.at_most([(1, flag) for _, flag in there], described["limits"].get("at_once"))

    def trains(self):
        """Rules 3 and 5, on every run."""
        session = self.session
        for call, cars in self.riding.items():
            job, _, place = session.calls[call]
            described = session.jobs[job]
            beyond = session.calls[session.following(call)][2]
            most = [described.get("max_cars"), *(session.places[at]["limits"].get("at_once") for at in (place, beyond))]
            for piece in session.links(call):
                counts = [limits.get("at_once") for limits in piece]
                most.append(None if None in counts else max(counts))
            for count in most:
                self.at_most([(1, flag) for _, flag in cars], count)
            if "max_length" in described:
                room = described["max_length"] - described["power"]
                self.at_most([(session.cars[car]["length"], flag) for car, flag in cars], room)
            self.at_most([(session.weight(car), flag) for car, flag in cars], described.get("max_tons"))

    def at_most(self, terms, most):
        if most is not None and any(not isinstance(flag, int) for _, flag in terms):
            self.model.add(sum(weight * flag for weight, flag in terms) <= most)

    def best(self):
        """The most that can be done: promised cars, sessions waited."""
        session = self.session
        trips = [trip for trip in session.plan["trips"] if trip["car"] in self.arrives]
        higher = 1 + sum(abs(session.worth(trip)) for trip in trips)
        terms = [(higher * trip["promised"] + session.worth(trip), self.arrives[trip["car"]]) for trip in trips]
        self.model.maximize(sum(weight * flag for weight, flag in terms))
        solver, status = self.solve()
        if status != cp_model.OPTIMAL:
            raise SystemExit(f"the solver ends with {solver.status_name(status)}")
        there = {trip["car"] for trip in trips if solver.value(self.arrives[trip["car"]])}
        legs = {
            car: sorted((session.calls[call][:2], what, spot or track)
                        for what, moves in (("pull", self.pulled), ("leave", self.left))
                        for (which, call, track, spot), flags in moves.items()
                        if which == car and any(solver.value(flag) for flag in flags))
            for car in there
        }
        return value(session, there), legs

    def allows(self, trips):
        """Whether the legs of these trips are one of the choices."""
        session = self.session
        pulled, left = set(), set()
        for trip in trips:
            for leg in trip["legs"]:
                spot = self.spot_before(trip, leg)
                pulled.add((trip["car"], session.index[leg["job"], leg["from_call"]], leg["from"], spot))
                left.add((trip["car"], session.index[leg["job"], leg["to_call"]], leg["to"], leg.get("spot")))
            if trip["car"] in self.arrives:
                self.model.add(self.arrives[trip["car"]] == int(trip["arrives"]))
            elif trip["arrives"]:
                return False
        for moves, made in ((self.pulled, pulled), (self.left, left)):
            if made - set(moves):
                return False
            for key, flags in moves.items():
                self.model.add(sum(flags) == int(key in made))
        self.model.clear_objective()
        return self.solve()[1] == cp_model.OPTIMAL

    def spot_before(self, trip, leg):
        """The spot a leg begins at: where the one before it ended, or where the car stood."""
        spot = self.session.stands[trip["car"]][1]
        for other in trip["legs"]:
            if other is leg:
                return spot
            spot = other.get("spot")
        return spot

    def solve(self):
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        solver.parameters.random_seed = 1
        solver.parameters.max_deterministic_time = 60
        return solver, solver.solve(self.model)


def value(session, there):
    """What it is worth that these cars arrive."""
    trips = [trip for trip in session.plan["trips"] if trip["car"] in there]
    return sum(trip["promised"] for trip in trips), sum(session.worth(trip) for trip in trips)


def ratio(ours, best):
    """The share of the best that is reached, in the field that decides."""
    for mine, most in zip(ours, best):
        if mine != most:
            return Fraction(mine, most) if most > 0 else Fraction(0)
    return Fraction(1)


def judge(plan, off_spot=()):
    """Faults, our value, the best value, and the trips of the best."""
    session = Session(plan, off_spot)
    ours = value(session, {trip["car"] for trip in plan["trips"] if trip["arrives"]})
    best, legs = Model(session).best()
    faults = []
    if ours > best:
        faults.append(f"claims to deliver {ours}, more than the most that is possible, {best}")
    elif not Model(session).allows(plan["trips"]):
        faults.append("its trips are none of those that the rules allow")
    return faults, ours, best, legs


def off_spot_tracks(folder):
    """plan.json does not say where a car may wait for its spot; the description does."""
    places = tomllib.loads((folder / "layout.toml").read_text(encoding="utf-8"))["place"]
    return {f"{place}/{name}" for place, described in places.items()
            for name, track in described.get("track", {}).items() if track.get("off_spot")}


def setout(*arguments):
    done = subprocess.run([PROGRAM, *map(str, arguments)], capture_output=True, text=True, check=False)
    if done.returncode != 0:
        raise RuntimeError(f"{' '.join(map(str, arguments))}: exit {done.returncode}: {done.stderr or done.stdout}")


def sessions(number, folder):
    """The plans of some sessions in a row on a drawn layout."""
    small_layouts.write(number, folder)
    for session in range(1, SESSIONS + 1):
        setout("plan", folder, "--seed", 100 * number + session)
        yield json.loads((folder / "ledger" / f"{session:04}" / "plan.json").read_text(encoding="utf-8"))
        setout("close", folder)


def keep(number, plan, folder, ours, best, legs):
    """Copies what falls short, for those who want to see why."""
    to = Path(os.environ["KEEP"]) / f"trips-{number}"
    shutil.copytree(folder, to, dirs_exist_ok=True)
    lines = [f"session {plan['session']}: {ours} of {best}", ""]
    for trip in plan["trips"]:
        reached = "arrives" if trip["arrives"] else "does not arrive"
        lines.append(f"{trip['car']} since {trip['since']}{' promised' if trip['promised'] else ''} {reached}: {trip['why']}")
        lines += [f"    ours {leg}" for leg in trip["legs"]]
        lines += [f"    best {leg}" for leg in legs.get(trip["car"], [])]
    (to / f"session-{plan['session']}.txt").write_text("\n".join(lines) + "\n", encoding="utf-8")


def test(numbers):
    failures, results = [], []
    for number in numbers:
        with tempfile.TemporaryDirectory() as name:
            folder = Path(name)
            try:
                for plan in sessions(number, folder):
                    faults, ours, best, legs = judge(plan, off_spot_tracks(folder))
                    failures += [f"layout {number}, session {plan['session']}: {fault}" for fault in faults]
                    results.append((ours, best))
                    if ours != best:
                        share = float(ratio(ours, best))
                        print(f"trips: layout {number}, session {plan['session']}: {ours} of {best}, {share:.3f}")
                    if (ours != best or faults) and "KEEP" in os.environ:
                        keep(number, plan, folder, ours, best, legs)
            except RuntimeError as problem:
                failures.append(f"layout {number}: {problem}")
    said, mean, least = summary(results)
    if mean < MEAN or least < LEAST:
        failures.append(f"{said}: less than {float(MEAN)} in the mean, or than {float(LEAST)} in one")
    return failures, said


def summary(results):
    """What all sessions come to, in words, the mean share and the least."""
    shares = [ratio(ours, best) for ours, best in results] or [Fraction(0)]
    mean, least, perfect = sum(shares) / len(shares), min(shares), sum(share == 1 for share in shares)
    promised = [sum(pair[which][0] for pair in results) for which in (0, 1)]
    said = (f"{len(results)} sessions, {perfect} as good as can be; share of the best {float(mean):.3f} in the mean, "
            f"{float(least):.3f} at least; promised cars {promised[0]} of {promised[1]}")
    return said, mean, least


def example():
    page = (ROOT / "docs" / "plan-format.md").read_text(encoding="utf-8")
    return json.loads(re.search(r"```json\n(.*?)```", page, re.S).group(1))


def crowd():
    """The documented example with a second car for the one spot that has waited longer, and stays; best (0, 3)."""
    plan = example()
    trip = copy.deepcopy(plan["trips"][0]) | {"car": "CHT 101", "since": -1, "legs": [], "arrives": False}
    plan["trips"].append(trip)
    return plan


def swap(plan):
    """The car that waited longer goes, the other stays."""
    one, other = plan["trips"]
    one["legs"], other["legs"] = other["legs"], one["legs"]
    one["arrives"], other["arrives"] = False, True


def both(plan):
    plan["trips"][1]["legs"] = plan["trips"][0]["legs"]
    plan["trips"][1]["arrives"] = True


IMPOSSIBLE = [
    ("two cars at one spot", crowd, both),
    ("a train of no cars", example, lambda p: p["world"]["jobs"][0].update(max_cars=0)),
    ("a train too long", example, lambda p: p["world"]["jobs"][0].update(max_length=1239)),
    ("a train too heavy", example, lambda p: p["world"]["jobs"][0].update(max_tons=99)),
    ("a link too short", example, lambda p: p["world"]["links"][0]["limits"].update(car=539)),
    ("too many cars on a link", example, lambda p: p["world"]["links"][0]["limits"].update(at_once=0)),
    ("too many cars for a place", example, lambda p: p["world"]["places"][1]["limits"].update(at_once=0)),
    ("a track too short", example, lambda p: p["world"]["tracks"][1].update(length=539)),
    ("a spot too short", example, lambda p: p["world"]["tracks"][1]["spots"][0].update(length=539)),
    ("a track of another road", example, lambda p: p["world"]["tracks"][1].update(worked_by=["GLN"])),
    ("a track that holds other cars", example, lambda p: p["world"]["tracks"][1].update(holds=["XM"])),
    ("a goal that is not on the way", example, lambda p: p["trips"][0].update(goals=[["harbor/2"]])),
    ("a call in the past", example, lambda p: p["events"].insert(1, p["events"].pop(3))),
    ("a leg that ends elsewhere", example, lambda p: p["trips"][0]["legs"][0].update(to="harbor/1", to_call=3)),
    ("a delivery that is not claimed", example, lambda p: p["trips"][0].update(goals=[["harbor/1"]], arrives=True)),
]


def self_test():
    faults, ours, best, _ = judge(example())
    if faults or ours != (0, 1) or best != (0, 1):
        sys.exit(f"self-test: the documented example is worth {ours} of {best}: {faults}")
    faults, ours, best, _ = judge(crowd())
    if faults or (ours, best) != ((0, 1), (0, 3)) or ratio(ours, best) != Fraction(1, 3):
        sys.exit(f"self-test: the wrong one of two cars goes, worth {ours} of {best}: {faults}")
    plan = crowd()
    swap(plan)
    if judge(plan)[:3] != ([], (0, 3), (0, 3)):
        sys.exit("self-test: the right one of two cars goes, and that is not the best")
    plan["trips"][0]["promised"] = True
    if judge(plan)[1:3] != ((0, 3), (1, 1)):
        sys.exit("self-test: a promised car does not go first")
    for name, sound, breaking in IMPOSSIBLE:
        plan = sound()
        plan["world"]["tracks"].append(copy.deepcopy(plan["world"]["tracks"][0]) | {"id": "harbor/2"})
        breaking(plan)
        if not judge(plan)[0]:
            sys.exit(f"self-test: {name} was not seen")
    if summary([((0, 1), (0, 2)), ((1, 4), (1, 4))])[1:] != (Fraction(3, 4), Fraction(1, 2)):
        sys.exit("self-test: a session that falls short by half, and a perfect one, do not give three quarters and a half")
    print(f"trips: self-test saw {len(IMPOSSIBLE)} impossible plans fail")


if __name__ == "__main__":
    if sys.argv[1:] == ["--self-test"]:
        self_test()
    else:
        failures, said = test([int(number) for number in sys.argv[1:]] or LAYOUTS)
        print("\n".join(f"FAILED trips {failure}" for failure in failures) or f"passed trips: {said}")
        sys.exit(bool(failures))
