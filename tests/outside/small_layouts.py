"""Small layouts drawn by chance: a few places, one to three jobs, tight yards, spots and trains.

Written from docs/layout.md. They are made so that not everything can be done in one session: more carloads than the
spots turn, trains of a few cars, yards of a few car lengths. The same number gives the same layout.
"""

import random

KINDS = {"XM": (44, 54), "HT": (40, 44), "FM": (54, 62)}  # feet over couplers, from and to
CARRIES = {"grain": "HT", "boxes": "XM", "lumber": "FM"}


class Draw:
    """One layout as text."""

    def __init__(self, number):
        self.chance = random.Random(number)
        self.places = ["yard", "mills", "quay", "junction", "hill"][: self.chance.randint(3, 5)]
        self.parts = []
        self.industries = []
        self.gateways = []
        self.weighs = None

    def say(self, text):
        self.parts.append(text)

    def maybe(self, share, text):
        return text if self.chance.random() < share else ""

    def text(self, number):
        self.say(f'[layout]\nname = "Small {number}"\nscale = "HO"\ncar = "44 ft"\n'
                 "days = { first = 1978-10-02, last = 1978-10-08 }\n")
        self.say('[railroad.CHT]\nname = "Carrow Harbor Terminal"\nhome = true\nbeyond = "away"\n')
        for place in self.places:
            self.place(place)
        self.gateway("away", "yard", "fiddle", ["Millport", "Ashby"])
        if self.chance.random() < 0.5:
            self.gateway("ferry", self.places[-1], "interchange", ["Tarn City"])
        self.links()
        for name, kind in CARRIES.items():
            self.say(f'[commodity.{name}]\ncars = ["{kind}"]\n' + self.maybe(0.2, "perishable = true\n"))
        self.lanes()
        self.jobs()
        return "\n".join(self.parts)

    def place(self, place):
        chance = self.chance
        self.say(f'[place.{place}]\nname = "{place.capitalize()}"\nrailroad = "CHT"\n' + self.maybe(0.1, "max_cars = 5\n"))
        self.track(place, "run", "runaround", chance.randint(3, 6), "both")
        yards = chance.randint(1, 2) if place == "yard" else chance.randint(0, 1)
        for number in range(yards):
            offers = ""
            if self.weighs is None and chance.random() < 0.3:
                self.weighs, offers = place, 'offers = ["weigh"]\n'
            self.track(place, str(number + 1), "yard", chance.randint(2, 4), "both", offers)
        for number in range(chance.randint(1, 2) if place != "yard" else chance.randint(0, 1)):
            self.spur(place, f"s{number}")
        if chance.random() < 0.3:
            self.track(place, "team", "spur", chance.randint(1, 2), chance.choice(["west", "east"]), "off_spot = true\n")

    def track(self, place, name, use, cars, opens, more=""):
        self.say(f'[place.{place}.track.{name}]\nuse = "{use}"\nlength = "{cars * 46:g} scale ft"\nopens = "{opens}"\n' + more)

    def spur(self, place, name):
        chance = self.chance
        spots = chance.randint(0, 2)
        cars = max(spots, chance.randint(1, 3)) + 0.3
        rooms = [self.maybe(0.3, str(chance.choice([46, 56, 64]))) for _ in range(spots)]
        cars = max(cars, sum(int(room or 44) for room in rooms) / 46)
        named = ", ".join(f'{{ name = "door {spot + 1}"{room and f", length = {chr(34)}{room} scale ft{chr(34)}"} }}'
                          for spot, room in enumerate(rooms))
        more = (f"spots = [{named}]\n" if spots else "") + self.maybe(0.1, 'max_car = "56 ft"\n')
        self.track(place, name, "spur", cars, chance.choice(["west", "east", "both"]), more)
        industry = f"{place}-{name}"
        self.industries.append(industry)
        goals = [f'"{name}/door {spot + 1}"' for spot in range(spots)] or [f'"{name}"']
        words = ", ".join(goals)
        lines = "".join(f"receives.{what} = [{words}]\nships.{what} = [{words}]\n" for what in CARRIES)
        self.say(f'[industry.{industry}]\nname = "{industry}"\nplace = "{place}"\n{lines}')

    def gateway(self, name, place, kind, beyond):
        for track in ("in", "out"):
            self.track(place, f"{name}-{track}", "interchange" if kind == "interchange" else "staging",
                       self.chance.randint(3, 6), "both")
        cities = ", ".join(f'"{city}"' for city in beyond)
        self.say(f'[gateway.{name}]\nname = "{name.capitalize()}"\nkind = "{kind}"\ntakes = "{place}/{name}-in"\n'
                 f'gives = "{place}/{name}-out"\nbeyond = [{cities}]\nback = "1 day"\n')
        self.gateways += [f"{name}/{city}" for city in beyond]

    def links(self):
        for number, place in enumerate(self.places[1:], 1):
            other = self.places[self.chance.choice([number - 1, 0])]
            between = [other, place] if self.chance.random() < 0.7 else [place, other]
            limits = self.maybe(0.1, 'max_car = "56 ft"\n') + self.maybe(0.15, f"max_cars = {self.chance.randint(2, 4)}\n")
            self.say(f'[[link]]\nbetween = ["{between[0]}", "{between[1]}"]\nminutes = {self.chance.randint(2, 9)}\n' + limits)

    def lanes(self):
        chance = self.chance
        seen = set()
        for _ in range(chance.randint(3, 7)):
            what = chance.choice(sorted(CARRIES))
            ends = [chance.choice(self.industries), chance.choice(self.industries + self.gateways)]
            chance.shuffle(ends)
            if ends[0] == ends[1] or (what, *ends) in seen:
                continue
            seen.add((what, *ends))
            weigh = self.maybe(0.3, 'on_the_way = ["weigh"]\n') if self.weighs else ""
            self.say(f'[[lane]]\ncommodity = "{what}"\nfrom = "{ends[0]}"\nto = "{ends[1]}"\nload = "0 days"\nunload = "0 days"\n'
                     f'carloads = "{chance.choice([3, 5, 7, 10])} a week"\n' + weigh + self.maybe(0.2, "promised = true\n"))

    def jobs(self):
        chance = self.chance
        count = chance.randint(1, 3)
        for number in range(count):
            away = self.places[1:]
            chance.shuffle(away)
            calls = ["yard", *(away if number == 0 else away[: chance.randint(1, len(away))])]
            if number == 0 or chance.random() < 0.7:
                calls.append("yard")
            if number and chance.random() < 0.3:
                calls = [chance.choice(away), *calls]
            calls = [call for which, call in enumerate(calls) if which == 0 or call != calls[which - 1]]
            limit = chance.choice([f"cars = {chance.randint(2, 5)}", f'length = "{chance.randint(180, 320)} scale ft"',
                                   f"tons = {chance.randint(200, 400)}"])
            self.say(f"[job.turn-{number + 1}]\nrailroad = \"CHT\"\ncalls = {calls}\n".replace("'", '"')
                     + f'on_duty = "{7 + number}:{chance.choice(["00", "30"])}"\npower = "60 scale ft"\nmax = {{ {limit} }}\n')

    def roster(self):
        rows = ["mark,number,type,length,home"]
        for number in range(self.chance.randint(5, 20)):
            kind = self.chance.choice(sorted(KINDS))
            rows.append(f"CHT,{100 + number},{kind},{self.chance.randint(*KINDS[kind])} ft,away")
        return "\n".join(rows) + "\n"


def write(number, folder):
    """Writes the layout of this number into a folder."""
    draw = Draw(number)
    (folder / "layout.toml").write_text(draw.text(number), encoding="utf-8")
    (folder / "cars.csv").write_text(draw.roster(), encoding="utf-8")
