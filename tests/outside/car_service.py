"""Car service rules: which road's empty is loaded, in the plans of many sessions on made layouts, against the rules as they were.

Source: the rules of the Association of American Railroads of the 1950s to 1980s (a historian of freight cars, 2012; United States v.
Allegheny-Ludlum Steel, 406 U.S. 742, of 1972): load a foreign car to or via its owner's road, else toward its home, else any way that ends
nearer home than it began, before the road's own cars. The order within is from memory, in the words of DEVELOPERS.md, "What a car is
chosen by"; private and assigned cars are outside (common practice, no source). A survey of the early 1950s found about two loadings in three in keeping
with the rules (the same historian, citing it).

What is checked: by the book no car is worse than an idle one that would do, and no two cars should change places; "two thirds" keeps the
rules about so often where there was a choice; "off" does not keep them; a rare visitor comes no more often than it is said to.

usage: car_service.py [LAYOUTS SESSIONS]
       car_service.py --self-test
"""

import copy
import heapq
import json
import math
import random
import subprocess
import sys
import tempfile
from itertools import combinations
from pathlib import Path

from world import PROGRAM

GRADES = ["rough", "fair", "clean"]
ROADS = {"CHT": "home = true\nbeyond = \"away\"", "GLN": 'beyond = "lakes"', "CPQ": 'beyond = "quay"', "NVR": 'beyond = "ridge"',
         "ORV": "", "PRVX": None}
GATEWAYS = {"away": ("yard", "fiddle", None), "lakes": ("yard", "interchange", "GLN"), "quay": ("port", "interchange", None),
            "ridge": ("hill", "staging", None)}
LADINGS = {"boxes": (["XM"], "rough"), "flour": (["XF", "XM"], "fair"), "paper": (["XM", "XF"], "clean")}
CUSTOMERS = {"mill": "town", "works": "town", "pier": "port", "store": "hill"}
LINE = ["yard", "town", "port", "hill"]
KEPT = 2 / 3
SIGMAS = 4  # a sound program is beyond four standard deviations once in some 15,000 runs


# -- layouts ----------------------------------------------------------------------------------


def draw(number, how):
    """A line of four places with four gateways, room for everything, and cars of six owners: its text, its lanes and its roster."""
    chance = random.Random(number)
    minutes = [chance.randint(2, 8) for _ in LINE[1:]]
    parts = [f'[layout]\nname = "Car service {number}"\nscale = "HO"\ncar = "44 ft"\ncar_service = "{how}"\n'
             "days = { first = 1962-10-01, last = 1962-10-07 }\n"]
    parts += [f'[railroad.{road}]\nname = "{road}"\n{keys}\n' for road, keys in ROADS.items() if keys is not None]
    track = '[place.{}.track.{}]\nuse = "{}"\nlength = "60 cars"\nopens = "both"\n'
    for place in LINE:
        parts.append(f'[place.{place}]\nname = "{place.capitalize()}"\nrailroad = "CHT"\n')
        parts += [track.format(place, name, use) for name, use in (("run", "runaround"), ("1", "yard"), ("2", "yard"))]
    for link, long in zip(zip(LINE, LINE[1:]), minutes):
        parts.append(f'[[link]]\nbetween = ["{link[0]}", "{link[1]}"]\nminutes = {long}\n')
    for name, (place, kind, road) in GATEWAYS.items():
        use = "interchange" if kind == "interchange" else "staging"
        parts += [track.format(place, f"{name}-{end}", use) for end in ("out", "in")]
        parts.append(f'[gateway.{name}]\nname = "{name.capitalize()}"\nkind = "{kind}"\ntakes = "{place}/{name}-out"\n'
                     f'gives = "{place}/{name}-in"\nback = "1 day"\n' + (f'railroad = "{road}"\n' if road else ""))
    for name, (cars, grade) in LADINGS.items():
        parts.append(f'[commodity.{name}]\ncars = {json.dumps(cars)}\ngrade = "{grade}"\n')
    for name, place in CUSTOMERS.items():
        every = "".join(f'ships.{lading} = ["{name}"]\nreceives.{lading} = ["{name}"]\n' for lading in LADINGS)
        parts.append(track.format(place, name, "spur") + f'[industry.{name}]\nname = "{name}"\nplace = "{place}"\n{every}')
    lanes = lanes_of(chance)
    parts += [f'[[lane]]\nid = "{name}"\ncommodity = "{lading}"\nfrom = "{begins}"\nto = "{ends}"\ncarloads = "5 a week"\n'
              'load = "1 day"\nunload = "1 day"\n' for name, (lading, begins, ends) in lanes.items()]
    calls = json.dumps(LINE + LINE[-2::-1])
    parts += [f'[job.turn-{turn}]\nrailroad = "CHT"\ncalls = {calls}\n' for turn in (1, 2)]
    return "\n".join(parts), lanes, roster(chance)


def lanes_of(chance):
    """Loads that begin here, to every gateway and customer, and as many that bring cars in."""
    lanes = {}
    ends = list(GATEWAYS) + list(CUSTOMERS)
    for begins in CUSTOMERS:
        for to in chance.sample([end for end in ends if end != begins], 3):
            lanes[f"{begins} {to}"] = (chance.choice(list(LADINGS)), begins, to)
    for gateway in GATEWAYS:
        for to in chance.sample(list(CUSTOMERS), 2):
            lanes[f"{gateway} {to}"] = (chance.choice(list(LADINGS)), gateway, to)
    return lanes


def roster(chance):
    rows = ["mark,number,type,grade,owner,assigned,visits"]
    for road in ROADS:
        owner = "Somebody" if road == "PRVX" else ""
        for number in range(100, 100 + chance.randint(10, 16)):
            assigned = "works" if chance.random() < 0.04 else ""
            visits = "1 in 6" if chance.random() < 0.15 else "never" if chance.random() < 0.02 else ""
            kind, grade = chance.choice(["XM", "XM", "XF"]), chance.choice(GRADES)
            rows.append(f"{road},{number},{kind},{grade},{owner},{assigned},{visits}")
    return "\n".join(rows) + "\n"


# -- the rules --------------------------------------------------------------------------------


class Rules:
    """The class of a car for a load that begins on the layout, in the words of DEVELOPERS.md."""

    def __init__(self, world, lanes):
        self.lanes = lanes
        self.cars = {car["id"]: car for car in world["cars"]}
        self.home_roads = {road["id"] for road in world["railroads"] if road.get("home")}
        self.gateways = {gateway["id"]: gateway for gateway in world["gateways"]}
        self.place_of = {track["id"]: track["place"] for track in world["tracks"]}
        self.kinds = {lading["id"]: lading["cars"] for lading in world["commodities"]}
        self.grade = {lading["id"]: GRADES.index(lading.get("grade", "fair")) for lading in world["commodities"]}
        self.far = {place["id"]: self.seconds_from(place["id"], world["links"]) for place in world["places"]}

    @staticmethod
    def seconds_from(start, links):
        """Dijkstra's algorithm over the links."""
        found, waiting = {}, [(0, start)]
        while waiting:
            far, place = heapq.heappop(waiting)
            if place not in found:
                found[place] = far
                for link in links:
                    if place in (link["west"], link["east"]):
                        other = link["east"] if place == link["west"] else link["west"]
                        heapq.heappush(waiting, (far + link["seconds"], other))
        return found

    def place(self, end):
        return CUSTOMERS.get(end) or self.place_of[self.gateways[end]["takes"][0]]

    def suits(self, car, lane):
        lading, begins, ends = self.lanes[lane]
        described = self.cars[car]
        return (described["type"] in self.kinds[lading] and GRADES.index(described.get("grade", "fair")) >= self.grade[lading]
                and described.get("assigned") in (None, begins, ends))

    def kind(self, car, lane):
        return self.kinds[self.lanes[lane][0]].index(self.cars[car]["type"])

    def service(self, car, lane, came):
        """1 to 4 a foreign car toward its owner, 5 the road's own or a private one, 6 against the rules; 0 outside them."""
        _, begins, ends = self.lanes[lane]
        described = self.cars[car]
        owner, home = described.get("railroad"), described.get("home") or came
        if described.get("assigned"):
            return 0
        if owner is None or owner in self.home_roads:
            return 5
        out = ends in self.gateways
        if out and self.gateways[ends].get("railroad") == owner:
            return 1
        if out and ends == home:
            return 2
        if home is None:
            return 6
        goal = self.place(home)
        nearer = self.far[self.place(ends)][goal] < self.far[self.place(begins)][goal]
        return (3 if out else 4) if nearer else 6

    @staticmethod
    def group(service):
        """Toward its owner, the road's own, against the rules: what the survey could tell apart."""
        return 0 if service <= 4 else service - 4


# -- sessions ---------------------------------------------------------------------------------


class Choice:
    """A car that an order got tonight, or that was free for one: how it does for any lane."""

    def __init__(self, rules, car, came, lane=None, order=None):
        self.rules, self.car, self.came, self.lane, self.order = rules, car, came, lane, order

    def rank(self, lane):
        return self.rules.kind(self.car, lane), self.rules.service(self.car, lane, self.came)

    def group(self, lane):
        return Rules.group(self.rank(lane)[1])


def evening(plan, rules, came):
    """The cars that orders got tonight for loads that begin here, and the empties on the layout that nobody used. A car
    whose way home is not known, since nobody saw it come, is left out."""
    before = {order["id"]: order.get("car") for order in plan["before"].get("orders", [])}
    lading = {entry["car"]: entry.get("lading") for row in plan["before"]["tracks"].values() for entry in row}
    unfit = {entry["car"] for row in plan["before"]["tracks"].values() for entry in row if entry.get("bad_order") or entry.get("dirty")}
    here = set(lading)
    for event in plan["events"]:
        if event["event"] == "released":
            lading[event["car"]] = event.get("lading")
        elif event["event"] == "lifted":
            here.discard(event["car"])
            came.pop(event["car"], None)
        elif event["event"] == "placed":
            came[event["car"]] = event["gateway"]
        elif event["event"] == "bad order":
            unfit.add(event["car"])
    known = lambda car: rules.cars[car].get("home") or rules.cars[car].get("railroad") in rules.home_roads | {None} or car in came
    serving = {order["car"]: order for order in plan["orders"] if order["state"] == "filled"}
    chosen = [Choice(rules, car, came.get(car), order["lane"], order["id"]) for car, order in sorted(serving.items())
              if before.get(order["id"]) != car and rules.lanes[order["lane"]][1] in CUSTOMERS and known(car)]
    idle = [Choice(rules, car, came.get(car)) for car in sorted(here - set(serving) - unfit) if lading[car] is None and known(car)]
    return chosen, idle


def breaches(chosen, idle):
    """By the book: an unused car that would have been cheaper, or two cars that had better change places."""
    found = []
    for choice in chosen:
        better = [free for free in idle if free.rules.suits(free.car, choice.lane) and free.rank(choice.lane) < choice.rank(choice.lane)]
        if better:
            found.append(f"{choice.order} gets {choice.car} {choice.rank(choice.lane)}, and {better[0].car} "
                         f"{better[0].rank(choice.lane)} stays idle")
    for one, other in combinations(chosen, 2):
        if one.rules.suits(one.car, other.lane) and other.rules.suits(other.car, one.lane):
            total = lambda first, second: tuple(map(sum, zip(one.rank(first), other.rank(second))))
            if total(other.lane, one.lane) < total(one.lane, other.lane):
                found.append(f"{one.order} and {other.order} had better change {one.car} and {other.car}")
    return found


def kept(chosen, idle):
    """Of the loadings for which a car in keeping with the rules and one against them were to be had: how many kept them."""
    of_choice = []
    for choice in chosen:
        kind = choice.rank(choice.lane)[0]
        others = [free for free in idle if free.rules.suits(free.car, choice.lane) and free.rank(choice.lane)[0] == kind]
        groups = {free.group(choice.lane) for free in [*others, choice]}
        if len(groups) > 1 and choice.rank(choice.lane)[1] > 0:
            of_choice.append(choice.group(choice.lane) == min(groups))
    return of_choice


def visitors(plan, rare):
    """For the cars that come rarely or never and are away when the evening begins: how many, and which of them come."""
    standing = {entry["car"] for row in plan["before"]["tracks"].values() for entry in row}
    came = {event["car"] for event in plan["events"] if event["event"] == "placed"}
    away = {car for car in rare if car not in standing}
    return len(away), sorted(came & away)


def left_waiting(plan, rules, idle):
    """Orders for loads that begin here of which the plan says that there is no car, while one that would do stays idle."""
    reasons = {why for line in plan.get("kinds", []) for why in line.get("why", [])}
    waiting = [order for order in plan["orders"] if order["state"] == "waiting" and order["why"] in reasons
               and rules.lanes[order["lane"]][1] in CUSTOMERS]
    pairs = [(order, [free.car for free in idle if rules.suits(free.car, order["lane"])]) for order in waiting]
    return [f"{order['id']} waits ({order['why']}), and {cars[0]} stays idle" for order, cars in pairs if cars]


def run(folder, number, how, sessions):
    """Plans and closes sessions in a row; every plan with the lanes of its layout and its rare visitors."""
    text, lanes, cars = draw(number, how)
    folder.mkdir(parents=True)
    (folder / "layout.toml").write_text(text, encoding="utf-8")
    (folder / "cars.csv").write_text(cars, encoding="utf-8")
    for session in range(sessions):
        for command in (["plan", folder, "--seed", str(number * 1000 + session)], ["close", folder]):
            done = subprocess.run([PROGRAM, *command], capture_output=True, text=True, check=False)
            if done.returncode:
                sys.exit(f"FAILED car_service: layout {number}, session {session + 1}: {done.stdout[-300:]}{done.stderr[-600:]}")
    rows = [line.split(",") for line in cars.splitlines()[1:]]
    rare, never = ({f"{row[0]} {row[1]}" for row in rows if row[6] == word} for word in ("1 in 6", "never"))
    plans = [json.loads(path.read_text(encoding="utf-8")) for path in sorted(folder.glob("ledger/0*/plan.json"))]
    return plans, lanes, rare, never


class Tally:
    """What many sessions under one of the three words come to."""

    def __init__(self):
        self.chosen, self.breaches, self.kept, self.waits = 0, [], [], []
        self.away, self.came, self.intruders = 0, 0, []

    def add(self, plans, lanes, rare, never):
        came = {}
        for plan in plans:
            rules = Rules(plan["world"], lanes)
            chosen, idle = evening(plan, rules, came)
            self.chosen += len(chosen)
            self.breaches += breaches(chosen, idle)
            self.kept += kept(chosen, idle)
            self.waits += left_waiting(plan, rules, idle)
            away, visits = visitors(plan, rare)
            self.away, self.came = self.away + away, self.came + len(visits)
            self.intruders += visitors(plan, never)[1]

    def share(self):
        return sum(self.kept) / max(len(self.kept), 1)


def judge(tallies):
    """What is wrong with the tallies of the three words, each in words."""
    book, thirds, off = (tallies[how] for how in ("by the book", "two thirds", "off"))
    faults = book.breaches[:5] + [wait for tally in tallies.values() for wait in tally.waits][:5]
    tolerance = SIGMAS * math.sqrt(KEPT * (1 - KEPT) / max(len(thirds.kept), 1))
    if len(thirds.kept) < 100 or abs(thirds.share() - KEPT) > tolerance:
        faults.append(f"two thirds: {thirds.share():.3f} of {len(thirds.kept)} loadings keep the rules, not 2/3 within {tolerance:.3f}")
    if not off.breaches or off.share() > thirds.share():
        faults.append(f"off: {off.share():.3f} keep the rules, as if they were not off")
    away, came = (sum(getattr(tally, what) for tally in tallies.values()) for what in ("away", "came"))
    most = away / 6 + SIGMAS * math.sqrt(away * 5 / 36)
    if not 0 < came <= most:
        faults.append(f"visitors: {came} came in {away} sessions away, one in six or fewer is at most {most:.0f}")
    intruders = sorted({car for tally in tallies.values() for car in tally.intruders})
    return faults + [f"visitors: {car} comes, which never does" for car in intruders]


# -- the program's own test -------------------------------------------------------------------


LANES = {"mill lakes": ("boxes", "mill", "lakes"), "mill quay": ("boxes", "mill", "quay"), "mill away": ("boxes", "mill", "away"),
         "mill pier": ("boxes", "mill", "pier")}
CARS = {"CHT 1": "CHT away", "CPQ 2": "CPQ quay", "GLN 3": "GLN lakes", "PRVX 4": "", "ORV 5": "ORV"}
EXAMPLE = {
    "world": {
        "cars": [{"id": car, "type": "XM", **dict(zip(("railroad", "home"), words.split()))} for car, words in CARS.items()],
        "railroads": [{"id": "CHT", "home": True}, {"id": "GLN"}, {"id": "CPQ"}, {"id": "ORV"}],
        "gateways": [{"id": "lakes", "railroad": "GLN", "takes": ["yard/1"], "gives": ["yard/1"]},
                     {"id": "away", "takes": ["yard/2"], "gives": ["yard/2"]}, {"id": "quay", "takes": ["port/1"], "gives": ["port/1"]}],
        "places": [{"id": place} for place in LINE],
        "tracks": [{"id": "yard/1", "place": "yard"}, {"id": "yard/2", "place": "yard"}, {"id": "port/1", "place": "port"}],
        "links": [{"west": west, "east": east, "seconds": 120} for west, east in zip(LINE, LINE[1:])],
        "commodities": [{"id": "boxes", "cars": ["XM"], "grade": "rough"}],
    },
    "before": {"tracks": {"yard/1": [{"car": car} for car in ("CHT 1", "CPQ 2", "GLN 3")]}, "beyond": {"lakes": [{"car": "PRVX 4"}]},
               "shelf": [{"car": "ORV 5"}]},
    "events": [],
    "orders": [{"id": "1", "lane": "mill lakes", "state": "filled", "car": "GLN 3"}],
}


def by_hand():
    """A line yard, town, port: the lakes and the home road's gateway at the yard, the quay at the port; the mill is in the town."""
    rules = Rules(EXAMPLE["world"], LANES)
    wanted = {("mill lakes", None): [5, 6, 1, 5, 6], ("mill quay", None): [5, 2, 6, 5, 6], ("mill away", None): [5, 6, 3, 5, 6],
              ("mill pier", None): [5, 4, 6, 5, 6], ("mill quay", "quay"): [5, 2, 6, 5, 2], ("mill away", "lakes"): [5, 6, 3, 5, 3]}
    for (lane, came), classes in wanted.items():
        found = [rules.service(car, lane, came) for car in CARS]
        if found != classes:
            sys.exit(f"self-test: {lane}: {found}, by hand {classes}")


def evenings():
    """Plans that go against the rules, one by one."""
    look = lambda plan: evening(plan, Rules(plan["world"], LANES), {})
    if breaches(*look(EXAMPLE)) or kept(*look(EXAMPLE)) != [True]:
        sys.exit(f"self-test: a sound choice is refused: {breaches(*look(EXAMPLE))}")
    own, led_away, changed, waits = (copy.deepcopy(EXAMPLE) for _ in range(4))
    own["orders"][0]["car"] = "CHT 1"
    led_away["orders"][0]["car"] = "CPQ 2"
    changed["orders"] = [{"id": "1", "lane": "mill lakes", "state": "filled", "car": "CPQ 2"},
                         {"id": "2", "lane": "mill quay", "state": "filled", "car": "GLN 3"}]
    for plan in (own, led_away, changed):
        if not breaches(*look(plan)):
            sys.exit("self-test: a choice against the rules was not seen")
    if kept(*look(own)) != [False] or kept(*look(led_away)) != [False]:
        sys.exit("self-test: a loading against the rules is counted as one that kept them")
    waits.update(orders=[{"id": "1", "lane": "mill lakes", "state": "waiting", "why": "no car"}], kinds=[{"why": ["no car"]}])
    if not left_waiting(waits, Rules(waits["world"], LANES), look(waits)[1]):
        sys.exit("self-test: an order that waits while a car is idle was not seen")
    came = {**EXAMPLE, "events": [{"event": "placed", "car": "PRVX 4", "gateway": "lakes", "track": "yard/1"}]}
    if visitors(came, {"PRVX 4", "ORV 5", "GLN 3"}) != (2, ["PRVX 4"]):
        sys.exit("self-test: a visitor is not counted")


def counts():
    """Tallies that are wrong in one thing each."""
    def tallies():
        found = {how: Tally() for how in ("by the book", "two thirds", "off")}
        found["two thirds"].kept = [True] * 200 + [False] * 100
        found["off"].breaches = ["one"]
        found["off"].away, found["off"].came = 600, 90
        return found

    if judge(tallies()):
        sys.exit(f"self-test: sound counts are refused: {judge(tallies())}")
    wrong = [
        lambda found: found["by the book"].breaches.append("one"),
        lambda found: found["two thirds"].kept.extend([True] * 200),
        lambda found: found["two thirds"].kept.extend([False] * 100),
        lambda found: found["two thirds"].kept.__delitem__(slice(0, 250)),
        lambda found: found["off"].breaches.clear(),
        lambda found: found["off"].kept.append(True),
        lambda found: setattr(found["off"], "came", 150),
        lambda found: setattr(found["off"], "came", 0),
        lambda found: found["off"].intruders.append("CHT 1"),
        lambda found: found["off"].waits.append("one"),
    ]
    for number, breaking in enumerate(wrong):
        found = tallies()
        breaking(found)
        if not judge(found):
            sys.exit(f"self-test: wrong count {number + 1} was not seen")
    return len(wrong)


def self_test():
    by_hand()
    evenings()
    print(f"car_service: self-test saw 5 wrong evenings and {counts()} wrong counts fail")


def main(arguments):
    layouts, sessions = map(int, arguments or ("4", "30"))
    tallies = {how: Tally() for how in ("by the book", "two thirds", "off")}
    with tempfile.TemporaryDirectory() as work:
        for number in range(1, layouts + 1):
            for how, tally in tallies.items():
                tally.add(*run(Path(work) / f"{number}-{how.replace(' ', '-')}", number, how, sessions))
    faults = judge(tallies)
    for fault in faults:
        print(f"FAILED car_service: {fault}")
    if not faults:
        shares = ", ".join(f"{how} {tally.share():.2f} of {len(tally.kept)}" for how, tally in tallies.items())
        away, came = (sum(getattr(tally, what) for tally in tallies.values()) for what in ("away", "came"))
        print(f"passed car_service: {tallies['by the book'].chosen} cars chosen by the book, each the best; kept the rules where there was a "
              f"choice: {shares}; visitors came {came} times in {away}")
    return bool(faults)


if __name__ == "__main__":
    sys.exit(self_test() if sys.argv[1:] == ["--self-test"] else main(sys.argv[1:]))
