"""Free time: the cars that customers kept too long, recomputed from the plans of many sessions and the description.

Sources: 48 hours to unload in the national code from about 1910 (253 U.S. 319, of 1920); the clock starts the morning after a car was
placed, and Saturdays, Sundays and holidays are left out until one day has been charged, then every day counts (a railroad accountant's
recollection of the middle of the century); a car that finds its customer's track full counts as if it had been placed (the same);
weekends count from the first on later tariffs (a trade column of September 2003). docs/layout.md, "Free time", and docs/plan-format.md,
`on_hand`, say what setout makes of it. Days of cars are counted here from where the rows of the plans show them.

usage: free_time.py [SESSIONS]
       free_time.py --self-test
"""

import copy
import datetime
import json
import re
import shutil
import subprocess
import sys
import tempfile
import tomllib
from pathlib import Path

from world import PROGRAM, ROOT

LINE = re.compile(r"^free_time = .*$", re.M)
# The demo layout as it is, and with terms that put more cars over their time.
TERMS = {
    "as it is": None,
    "short": '{ load = "0 days", unload = "1 day" }',
    "weekends count": '{ load = "0 days", unload = "1 day", weekends = true }',
    "a holiday": '{ load = "0 days", unload = "1 day", holidays = [1978-10-04, 1978-10-06] }',
}


def counted(dates, free, weekends, holidays):
    """The days that count, and how many of them are over."""
    days = 0
    for date in dates:
        idle = (date.weekday() >= 5 and not weekends) or date in holidays
        charged = days > free
        days += 1 if charged or not idle else 0
    return days, max(days - free, 0)


def described(folder):
    """All tables of a layout's files as one, as far as they are wanted here."""
    whole = {"industry": {}, "lane": [], "layout": {}}
    for path in sorted(folder.glob("*.toml")):
        told = tomllib.loads(path.read_text(encoding="utf-8"))
        whole["industry"].update(told.get("industry", {}))
        whole["lane"] += told.get("lane", [])
        whole["layout"].update(told.get("layout", {}))
    return whole


class Terms:
    """What the description says of free time, and where customers load and unload."""

    def __init__(self, whole):
        said = whole["layout"].get("free_time", {})
        first = whole["layout"]["days"]["first"]
        self.usual = {"load": said.get("load", "1 day"), "unload": said.get("unload", "2 days")}
        self.weekends = said.get("weekends", first.year >= 1980)
        self.holidays = set(said.get("holidays", []))
        self.lanes = {lane.get("id") or f"{lane['commodity']}: {lane['from']} > {lane['to']}": lane for lane in whole["lane"]}
        self.industries = whole["industry"]

    def free(self, lane, what):
        return int(self.lanes[lane].get("free_time", {}).get(what, self.usual[what]).split()[0])

    def customer(self, lane, what):
        """The customer at that end of the lane, and its spots for the lading there; nobody if that end is beyond."""
        name = self.lanes[lane]["from" if what == "load" else "to"]
        if name not in self.industries:
            return None, []
        industry = self.industries[name]
        spots = industry.get("ships" if what == "load" else "receives", {}).get(self.lanes[lane]["commodity"], [])
        return name, [spot if spot.count("/") == 2 else f"{industry['place']}/{spot}" for spot in spots]


class Clock:
    """Since which session each car is at its customer's disposal."""

    def __init__(self, whole):
        self.terms = Terms(whole)
        days = whole["layout"]["days"]
        self.days = [days["first"] + datetime.timedelta(number) for number in range((days["last"] - days["first"]).days + 1)]
        self.placed = {}  # since when it stands at its spot, or off spot near it
        self.kept_off = {}  # the sessions that left it elsewhere, its spots being full
        self.first, self.faults, self.over, self.constructive = None, [], 0, 0

    def session(self, plan):
        self.first = self.first or plan["session"]
        if plan["date"] != self.date(plan["session"]).isoformat():
            self.faults.append(f"session {plan['session']} is not on {self.date(plan['session'])}")
        serving = {order["car"]: order for order in plan["orders"] if order["state"] == "filled"}
        lading = {entry["car"]: entry.get("lading") for row in plan["before"]["tracks"].values() for entry in row}
        for event in plan["events"]:
            if event["event"] in ("released", "placed", "lifted"):
                lading[event["car"]] = event.get("lading")
                self.forget(event["car"])  # its customer is done with it
        for car in (self.placed.keys() | self.kept_off.keys()) - serving.keys():
            self.forget(car)
        self.compare(plan, serving, lading)
        self.note(plan, serving, lading)

    def date(self, session):
        """The sessions walk through the days of the calendar and begin again."""
        return self.days[(session - 1) % len(self.days)]

    def forget(self, car):
        self.placed.pop(car, None)
        self.kept_off.pop(car, None)

    def since(self, car, line):
        """The session in which a car was placed. Before the first plan nobody saw it, and a full spot counts as if it had been."""
        seen = self.placed.get(car)
        if line and line["placed"] < self.first and (seen is None or seen == self.first):
            return line["placed"]
        if line and line["placed"] in self.kept_off.get(car, ()):
            self.constructive += 1
            return line["placed"]
        return seen

    def compare(self, plan, serving, lading):
        told = {line["car"]: line for line in plan.get("on_hand", [])}
        for car, order in sorted(serving.items()):
            what = "unload" if lading.get(car) else "load"
            customer, _ = self.terms.customer(order["lane"], what)
            line = told.pop(car, None)
            since = self.since(car, line)
            wanted = None
            if customer and since is not None:
                dates = [self.date(day) for day in range(since + 1, plan["session"] + 1)]
                days, over = counted(dates, self.terms.free(order["lane"], what), self.terms.weekends, self.terms.holidays)
                wanted = (customer, since, days, over) if over else None
            stated = line and (line["customer"], line["placed"], line["days"], line["over"])
            self.over += bool(wanted)
            if stated != wanted:
                self.faults.append(f"session {plan['session']}: {car} is told as {stated}, and is {wanted}")
        self.faults += [f"session {plan['session']}: {car} is on hand and serves nobody" for car in sorted(told)]

    def note(self, plan, serving, lading):
        """Where the session leaves cars: at their spots, off spot near them, or elsewhere, their spots being full."""
        off_spot = {line["car"] for call in plan["work"] for line in call["cars"] if line["deed"] == "off spot"}
        wants = {trip["car"]: trip["goals"][-1] for trip in plan["trips"] if not trip["arrives"]}
        for track, row in plan["after"]["tracks"].items():
            for entry in row:
                car = entry["car"]
                if car not in serving:
                    continue
                name, spots = self.terms.customer(serving[car]["lane"], "unload" if lading.get(car) else "load")
                if entry.get("spot", track) in spots or track in spots or car in off_spot:
                    self.placed.setdefault(car, plan["session"])
                elif name and wants.get(car) and set(wants[car]) <= set(spots) and self.no_room(plan, name, car, spots):
                    self.kept_off.setdefault(car, set()).add(plan["session"])

    def no_room(self, plan, customer, car, spots):
        """Whether none of these spots has room for one more, or the customer takes cars only so many, in turn or on some days."""
        if self.terms.industries[customer].keys() & {"limit", "in_turn", "shut"}:
            return True
        length = {car["id"]: car["length"] for car in plan["world"]["cars"]}
        tracks = {track["id"]: track for track in plan["world"]["tracks"]}

        def has_room(goal):
            track = tracks.get(goal) or tracks[goal.rsplit("/", 1)[0]]
            row = [entry for rows in (plan["before"], plan["after"]) for entry in rows["tracks"].get(track["id"], [])]
            spot = next((spot for spot in track.get("spots", []) if spot["id"] == goal), {})
            there = {entry["car"] for entry in row if not spot or entry.get("spot") == goal}
            left = spot.get("length", track["length"]) - sum(length[other] for other in there)
            return len(there) < spot.get("cars", len(there) + 1) and left >= length[car]

        return not any(map(has_room, spots))


def by_hand():
    """October 1978: the 2nd is a Monday; dates after the day of placement, up to the last one named."""
    def october(placed, until, free, weekends=False, holidays=()):
        dates = [datetime.date(1978, 10, day) for day in range(placed + 1, until + 1)]
        return counted(dates, free, weekends, {datetime.date(1978, 10, day) for day in holidays})

    worked = [
        ("48 hours: placed on Monday, Tuesday and Wednesday are free", [october(2, day, 2) for day in (2, 3, 4, 5)],
         [(0, 0), (1, 0), (2, 0), (3, 1)]),
        ("placed on Thursday: Friday counts, the weekend and a holiday do not", [october(5, day, 2, holidays=[9]) for day in (6, 7, 8, 9, 10, 11)],
         [(1, 0), (1, 0), (1, 0), (1, 0), (2, 0), (3, 1)]),
        ("placed on Tuesday: Friday is charged, and then the weekend, too", [october(3, day, 2) for day in (5, 6, 7, 8)],
         [(2, 0), (3, 1), (4, 2), (5, 3)]),
        ("weekends count from the first: placed on Thursday", [october(5, day, 2, weekends=True) for day in (6, 7, 8)], [(1, 0), (2, 0), (3, 1)]),
    ]
    for words, found, wanted in worked:
        if found != wanted:
            sys.exit(f"self-test: {words}: {found}, by hand {wanted}")


def example():
    """A mill that unloads at its dock from Monday: two days are free, so that on Thursday it is one day over."""
    whole = {"layout": {"days": {"first": datetime.date(1978, 10, 2), "last": datetime.date(1978, 10, 8)}},
             "industry": {"mill": {"place": "town", "receives": {"grain": ["dock"]}}},
             "lane": [{"commodity": "grain", "from": "away", "to": "mill"}]}
    stands = {"tracks": {"town/dock": [{"car": "CHT 1", "lading": "grain"}]}, "beyond": {}, "shelf": []}
    coming = {"tracks": {"town/1": [{"car": "CHT 1", "lading": "grain"}]}, "beyond": {}, "shelf": []}
    world = {"cars": [{"id": "CHT 1", "length": 528}],
             "tracks": [{"id": "town/dock", "length": 1200, "spots": []}, {"id": "town/1", "length": 1200}]}
    order = {"id": "1", "lane": "grain: away > mill", "state": "filled", "car": "CHT 1"}
    plans = [{"session": number, "date": f"1978-10-0{number + 1}", "world": world, "before": stands if number > 1 else coming, "events": [],
              "after": stands, "work": [], "trips": [], "orders": [order]} for number in (1, 2, 3, 4)]
    plans[3]["on_hand"] = [{"car": "CHT 1", "customer": "mill", "placed": 1, "days": 3, "over": 1}]
    return whole, plans


def faults_of(whole, plans):
    clock = Clock(whole)
    for plan in plans:
        clock.session(plan)
    return clock.faults


def self_test():
    by_hand()
    if faults_of(*example()):
        sys.exit(f"self-test: a sound ledger is refused: {faults_of(*example())}")
    wrong = [
        ("a car that is not told of", lambda whole, plans: plans[3]["on_hand"].clear()),
        ("a day too many", lambda whole, plans: plans[3]["on_hand"][0].update(days=4, over=2)),
        ("a car told of in its free time", lambda whole, plans: plans[2].update(
            on_hand=[{"car": "CHT 1", "customer": "mill", "placed": 1, "days": 2, "over": 0}])),
        ("another customer", lambda whole, plans: plans[3]["on_hand"][0].update(customer="store")),
        ("a car that serves nobody", lambda whole, plans: plans[3].update(orders=[])),
        ("longer free time on its lane", lambda whole, plans: whole["lane"][0].update(free_time={"unload": "3 days"})),
        ("a holiday", lambda whole, plans: whole["layout"].update(free_time={"holidays": [datetime.date(1978, 10, 4)]})),
        ("a day of the calendar that is not the next", lambda whole, plans: plans[3].update(date="1978-10-06")),
        ("a car emptied on the way", lambda whole, plans: plans[2]["events"].append({"event": "released", "car": "CHT 1"})),
        ("a car spotted a day later", lambda whole, plans: plans[0].update(after=plans[0]["before"])),
    ]
    for name, breaking in wrong:
        whole, plans = copy.deepcopy(example())
        breaking(whole, plans)
        if not faults_of(whole, plans):
            sys.exit(f"self-test: {name} was not seen")
    print(f"free_time: self-test saw {len(wrong)} wrong ledgers fail")


def run(folder, terms, sessions):
    """The demo layout with other terms, planned and closed so often."""
    shutil.copytree(ROOT / "demo-layout", folder, ignore=shutil.ignore_patterns("ledger"))
    if terms:
        text = (folder / "layout.toml").read_text(encoding="utf-8")
        (folder / "layout.toml").write_text(LINE.sub(f"free_time = {terms}", text), encoding="utf-8")
    for session in range(sessions):
        for command in (["plan", folder, "--seed", str(800 + session)], ["close", folder]):
            done = subprocess.run([PROGRAM, *command], capture_output=True, text=True, check=False)
            if done.returncode:
                sys.exit(f"FAILED free_time: session {session + 1}: {done.stdout[-300:]}{done.stderr[-600:]}")
    return [json.loads(path.read_text(encoding="utf-8")) for path in sorted(folder.glob("ledger/0*/plan.json"))]


def main(arguments):
    sessions = int(arguments[0]) if arguments else 20
    failed, over, constructive = False, 0, 0
    with tempfile.TemporaryDirectory() as work:
        for name, terms in TERMS.items():
            folder = Path(work) / name.replace(" ", "-")
            plans = run(folder, terms, sessions)
            clock = Clock(described(folder))
            for plan in plans:
                clock.session(plan)
            over, constructive = over + clock.over, constructive + clock.constructive
            for fault in clock.faults[:5]:
                failed = True
                print(f"FAILED free_time, terms {name}: {fault}")
    if not over:
        failed = True
        print("FAILED free_time: no car was ever over its time")
    if not failed:
        print(f"passed free_time: {over} times a car was over its time, {constructive} of them counted from before it found room")
    return failed


if __name__ == "__main__":
    sys.exit(self_test() if sys.argv[1:] == ["--self-test"] else main(sys.argv[1:]))
