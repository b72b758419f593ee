"""A session played from its printed paper alone: the set-up sheet says how it begins, the switch lists say all the rest.

Source: the printed page itself; how a crew reads it is common practice, no source. Reads only the .txt files; the plan is opened at the very
end, to compare where the cars then stand. A line that cannot be followed is a fault: a car that is not where a list says, another
order than the one printed, a train or a count that does not add up, a call that can never begin.

usage: from_paper.py PAPER-FOLDER PLAN.JSON
       from_paper.py --self-test PAPER-FOLDER PLAN.JSON
"""

import json
import re
import sys
from collections import Counter
from pathlib import Path

CAR = re.compile(r"\b[A-Z]{2,4} \d{1,6}\b|\b\d\d \d\d \d{4} \d{3}-\d\b")
DEEDS = ["PULL", "SPOT", "SET OUT", "OFF SPOT", "HOLD", "leave"]
DONE = "When you are done, from west:"


class Fault(Exception):
    """What cannot be followed, with the sheet and the call."""


def sections(text):
    """The parts of a sheet: what stands between two ruled lines is a heading."""
    parts, lines = [("", [])], text.splitlines()
    place = 0
    while place < len(lines):
        if re.fullmatch("-{20,}", lines[place]):
            end = next(n for n in range(place + 1, len(lines)) if re.fullmatch("-{20,}", lines[n]))
            parts.append((" ".join(line.strip() for line in lines[place + 1 : end]), []))
            place = end + 1
        else:
            parts[-1][1].append(lines[place])
            place += 1
    return parts


def paragraphs(lines):
    """Lines without a blank one between them."""
    group = []
    for line in [*lines, ""]:
        if line.strip():
            group.append(line)
        elif group:
            yield group
            group = []


def joined(lines):
    return re.sub(r"\s+", " ", " ".join(lines)).strip()


def set_up(text):
    """Track -> cars from west to east, car -> whether it is loaded, car -> what its line says of its spot."""
    tracks, loaded, spots = {}, {}, {}
    last = [lines for heading, lines in sections(text) if heading.startswith("Every track")]
    if not last:
        raise Fault("set-up: no order of every track")
    for group in paragraphs(last[0]):
        if not group[0].startswith("["):
            continue
        first = next((n for n, line in enumerate(group) if CAR.match(line)), len(group))
        head = re.fullmatch(r"\[ \] (.*), from west", joined(group[:first]))
        if not head:
            raise Fault(f"set-up: `{joined(group[:first])}` names no track")
        row = tracks.setdefault(head.group(1).casefold(), [])
        for line in group[first:]:
            car = CAR.match(line)
            if car:
                row.append(car.group())
                loaded[row[-1]] = line[car.end() :].split()[:1] == ["L"]
                spots[row[-1]] = re.sub(r"^\s*[LE]\b", "", line[car.end() :])
            else:
                spots[row[-1]] += " " + line.strip()
    return tracks, loaded, spots


def known(job, jobs, sheet):
    if job not in jobs:
        raise Fault(f"{sheet}: waits for `{job}`, which is no job")
    return job


def waited(said):
    """The job whose work is waited for, the call that is meant, or 0, and the reason, if one is named."""
    job, call, why = re.fullmatch(r"(.*?)(?: \((?:its call (\d+))?(?:: )?(it .*)?\))?", said).groups()
    return job, int(call or 0), why


class Call:
    """One call of a list: per track how it stands when the crew comes and when it goes, and the deeds."""

    def __init__(self, sheet, heading, lines, jobs, places):
        number, rest = re.match(r"(\d+)\. (.*)", heading).groups()
        self.name, self.number = f"{sheet}, call {number}", int(number)
        self.place = places[self.number - 1]
        if not rest.startswith(self.place):
            raise Fault(f"{self.name}: at the head of the list it is at {self.place}, here at {rest}")
        waits = [re.fullmatch(r"WAIT: do not come in before this is done here: (.*)", joined(group)) for group in paragraphs(lines)]
        clear = next(filter(None, waits), None)
        if not clear and "WAIT" in joined(lines):
            raise Fault(f"{self.name}: it does not say whose work here it waits for")
        self.wait = clear.group(1) if clear else ""
        named = [waited(job) for job in clear.group(1).split("; ")] if clear else []
        self.after = sorted((known(job, jobs, self.name), at) for job, at, _ in named)
        self.why = [(job, at, why) for job, at, why in named if why]
        self.tracks, self.rows, self.order = [], [], {}
        self.train = self.count = None
        self.last, self.where = False, None
        track = None
        for group in paragraphs(lines):
            said = joined(group)
            if re.match(r"Do +Car +Load", said):
                self.where = group[0].index("Where") if "Where" in group[0] else None
            head = re.match(r"(.*?), from west(?: \(|$| )", said)
            if head and not said.startswith("["):
                track = f"{self.place}, {head.group(1)}".casefold()
                self.tracks.append(track)
                self.read(group, track)
            elif re.match(r"In your train, and staying", said):
                self.read(group, None)
            elif re.match(r"Go (west|east)\b", said):
                self.goes(said)
            elif "The job ends here" in said:
                self.last = True

    def goes(self, said):
        self.train = CAR.findall(said.split("From west:")[1]) if "From west:" in said else []
        counted = re.search(r"(\d+) cars?,", said)
        if (int(counted.group(1)) if counted else 0) != len(self.train):
            raise Fault(f"{self.name}: the train is counted as other than {len(self.train)} cars")

    def read(self, group, track):
        """The rows of a group. Where stands beside the load, in a column of its own, or on the lines below."""
        rows = []
        for line in group:
            row = re.match(r"(?:\[ \]|   )  (PULL|SPOT|SET OUT|OFF SPOT|HOLD|leave) +(.*)", line)
            car = CAR.match(row.group(2)) if row else None
            if row and row.group(1) == "leave" and re.fullmatch(r"\d+ cars?", row.group(2)):
                # Cars that only stand there share a row: their number, below it their names.
                standing = [row.group(1), int(row.group(2).split()[0]), None, [], False]
                rows.append(standing)
            elif car:
                start = line.index(row.group(2))
                load = line[start + len(car.group()) : self.where].split()[0]
                rows.append([row.group(1), car.group(), load, [line[self.where :]] if self.where else [], False])
            elif line.strip().startswith("When you are done"):
                break
            elif rows and isinstance(rows[-1][1], int):
                rows[-1][3].append(line.strip())
            elif rows:
                indent = len(line) - len(line.lstrip())
                if indent == (self.where or start) and not rows[-1][4]:
                    rows[-1][3].append(line.strip())
                else:
                    rows[-1][4] = bool(self.where) and indent == start
        foot = joined(group).split(DONE)
        if track and len(foot) == 2:
            self.order[track] = CAR.findall(foot[1])
        for deed, car, load, words, _ in rows:
            if not isinstance(car, int):
                self.rows.append((track, deed, car, load, joined(words)))
                continue
            standing = CAR.findall(joined(words))
            if len(standing) != car:
                raise Fault(f"{self.name}: {car} cars are counted to leave alone, {len(standing)} are named")
            self.rows.extend((track, deed, car, None, "") for car in standing)


def goal(names, here, words):
    """The track that a row's `to …` names: of this place unless it names another."""
    said = words.split(" to ", 1)[-1] if " to " in f" {words}" else ""
    said, here = re.sub(r"^to ", "", said).casefold(), here.casefold()
    for name in names:
        if said.startswith(name) or f"{here}, {said}".startswith(name):
            return name
    return None


def tracks_in(said, place, names):
    """The tracks of a place in a list of names, the last after `and`; a name may have a comma in it."""
    own = sorted((name[len(place) + 2 :] for name in names if name.startswith(f"{place}, ".casefold())), key=len, reverse=True)
    found, said = set(), said.casefold()
    while said:
        name = next((name for name in own if said.startswith(name)), None)
        if name is None:
            raise Fault(f"{place}: no track at `{said}`")
        found.add(name)
        said = re.sub(r"^(, | and )", "", said[len(name) :])
    return found


def lists(texts):
    """Job name -> (jobs it begins after, its calls, the counts at its foot)."""
    titles = {}
    for name, text in texts.items():
        if name.startswith("switch-list"):
            first = text.splitlines()[0]
            titles[name] = re.split(r"\s{2,}", first)[0].strip()
    jobs = {}
    for name, title in titles.items():
        parts = sections(texts[name])
        head = joined(parts[0][1])
        done = re.search(r" Wait until all of this is done: (.*?)(?: Wait until this is done at .*?)? Calls ", head)
        if not done and " Wait until all " in head:
            raise Fault(f"{title}: it does not say how much of the jobs before it must be done")
        after = [known(job, titles.values(), title) for job in done.group(1).split("; ")] if done else []
        places = re.search(r" Calls (.*?) Time ", head).group(1).split(", then ")
        calls = [Call(title, heading, lines, titles.values(), places) for heading, lines in parts if re.match(r"\d+\. ", heading)]
        # Whose work must be in the clear stands at the first call, too.
        clear = re.search(r" Wait until this is done at (.*?): (.*?) Calls ", head)
        if (clear.groups() if clear else (places[0], "")) != (places[0], calls[0].wait if calls else ""):
            raise Fault(f"{title}: its head waits for other jobs than its first call")
        counts = [line.split() for heading, lines in parts if heading == "Count your work" for line in lines]
        jobs[title] = (after, calls, counts)
    return jobs


class Railroad:
    """Where every car is, as a crew sees it."""

    def __init__(self, texts):
        self.tracks, self.loaded, self.spots = set_up(texts["set-up.txt"])
        self.jobs = lists(texts)
        self.done = dict.fromkeys(self.jobs, 0)
        self.trains = {job: [] for job in self.jobs}
        self.names = sorted({*self.tracks, *(t for _, calls, _ in self.jobs.values() for call in calls for t in call.tracks)}, key=len, reverse=True)

    def why_not(self, job):
        """Why the next call of a job cannot begin yet; nothing if it can."""
        after, calls, _ = self.jobs[job]
        call = calls[self.done[job]]
        if self.done[job] == 0:
            for other in after:
                if self.done[other] < len(self.jobs[other][1]):
                    return f"{other} is not done"
        for other, at in call.after:
            worked = [known.place for known in self.jobs[other][1][: self.done[other]]]
            if other != job and (call.place not in worked or self.done[other] < at):
                return f"{other} has not worked at {call.place}"
        for track in call.tracks:
            found = [car for at, _, car, _, words in call.rows if at == track and not self.comes(words)]
            if found != self.tracks.get(track, []):
                return f"on {track} the list has {found}, there stand {self.tracks.get(track, [])}"
        return None

    def moved(self, calls):
        """The cars that calls of one job at a place come with, take or put elsewhere there: (from, car, to), none where in the train."""
        for call in calls:
            for track, deed, car, _, words in call.rows:
                if track is not None and deed not in ("HOLD", "leave"):
                    comes = self.comes(words)
                    to = track if comes else None if deed == "PULL" else goal(self.names, call.place, words)
                    yield None if comes else track, car, to

    def unreasoned(self):
        """Reasons to wait that what both lists say to do there does not bear out."""
        for job, (_, calls, _) in self.jobs.items():
            for call in calls:
                for other, last, why in call.why:
                    at_place = [known for known in self.jobs[other][1] if known.place == call.place and known.number <= (last or known.number)]
                    theirs, own = list(self.moved(at_place)), list(self.moved([call]))
                    left = [car for at, car, to in own if at is not None and to != at and any(one == car and put == at != taken for taken, one, put in theirs)]
                    cleared = {at for at, _, to in theirs if at is not None and to != at}
                    filled = {to for at, _, to in own if to is not None and to != at}
                    works = {track for known in at_place for track in known.tracks}
                    names = lambda said: {f"{call.place}, {track}".casefold() for track in tracks_in(said, call.place, self.names)}
                    reason, said = re.fullmatch(r"it (leaves|takes cars from|works) (.*?)(?: for you|, where you leave some| before you)?", why).groups()
                    sound = {
                        "leaves": lambda: sorted(CAR.findall(said)) == sorted(left) or said == f"{len(left)} cars",
                        "takes cars from": lambda: not left and names(said) == cleared & filled,
                        "works": lambda: not left and not cleared & filled and names(said) and names(said) <= works & set(call.tracks),
                    }[reason]
                    if not sound():
                        yield f"{call.name}: waits for {other}, as {why}; by both lists it leaves {left}, clears {sorted(cleared & filled)}"

    @staticmethod
    def comes(words):
        """Whether a row is of a car in the crew's own train."""
        return words.startswith("to ")

    def play(self, job):
        _, calls, _ = self.jobs[job]
        call, train = calls[self.done[job]], self.trains[job]
        self.done[job] += 1
        put = {}
        for track, deed, car, load, words in call.rows:
            if load is not None and self.loaded[car] != (load == "L"):
                raise Fault(f"{call.name}: {car} is listed {load}")
            if track is None or deed in ("HOLD", "leave"):
                continue
            if self.comes(words):
                if car not in train:
                    raise Fault(f"{call.name}: {car} is not in the train")
                train.remove(car)
                put.setdefault(track, []).append(car)
                self.spots[car] = words
            elif deed == "PULL":
                self.tracks[track].remove(car)
                train.append(car)
            else:
                to = goal(self.names, call.place, words)
                if to is None:
                    raise Fault(f"{call.name}: no track for {car}: {words}")
                self.tracks[track].remove(car)
                put.setdefault(to, []).append(car)
                self.spots[car] = words.split(" to ", 1)[1]
        for track, cars in put.items():
            self.tracks.setdefault(track, []).extend(cars)
            if track not in call.order:
                raise Fault(f"{call.name}: no order for {track}")
        for track, order in call.order.items():
            if Counter(order) != Counter(self.tracks.get(track, [])):
                raise Fault(f"{call.name}: {track} should stand {order}, has {self.tracks.get(track, [])}")
            self.tracks[track] = order
        if call.last and train or not call.last and Counter(call.train or []) != Counter(train):
            raise Fault(f"{call.name}: the train is {train}, the list has {call.train}")
        self.count(job, call)

    def count(self, job, call):
        # What no call of the job asks for has no column.
        used = [deed for deed in DEEDS if any(deed == row[1] for other in self.jobs[job][1] for row in other.rows)]
        wanted = [sum(deed == row[1] for row in call.rows) for deed in used]
        wanted.append(len(call.train or []))
        size = len(wanted)
        counts = [list(map(int, line[-size:])) for line in self.jobs[job][2] if len(line) >= size and all(part.isdigit() for part in line[-size:])]
        if counts and counts[self.done[job] - 1] != wanted:
            raise Fault(f"{call.name}: counted {wanted}, the foot says {counts[self.done[job] - 1]}")
        if not counts:
            raise Fault(f"{call.name}: no counts at the foot")

    def evening(self):
        while left := [job for job in self.jobs if self.done[job] < len(self.jobs[job][1])]:
            ready = [job for job in left if self.why_not(job) is None]
            if not ready:
                raise Fault("nobody can go on: " + "; ".join(f"{job}: {self.why_not(job)}" for job in left))
            self.play(ready[0])


def told_otherwise(texts, loaded):
    """Cars that another sheet has loaded where the set-up has them empty, or the other way round: a list names those that only stand
    there without their load."""
    for sheet in ("customers", "make-up", "car-cards"):
        for line in texts.get(f"{sheet}.txt", "").splitlines():
            for car, load in re.findall(f"({CAR.pattern}) {{2,}}([LE])\\b", line):
                if loaded.get(car) != (load == "L"):
                    yield f"{sheet}: {car} is told {load}, the set-up has it otherwise"


def compare(railroad, plan):
    """Faults where the played evening ends elsewhere than the plan."""
    after = plan["after"]["tracks"]
    there = {tuple(row) for row in railroad.tracks.values() if row}
    wanted = {tuple(car["car"] for car in row) for row in after.values()}
    faults = [f"ends with {row}, not in the plan" for row in sorted(there - wanted)] + [f"never {row}" for row in sorted(wanted - there)]
    for car in (car for row in after.values() for car in row):
        if railroad.loaded.get(car["car"]) != ("lading" in car):
            faults.append(f"{car['car']} is loaded otherwise")
        spot = car.get("spot", "").rsplit("/", 1)[-1]
        if spot and spot not in railroad.spots.get(car["car"], ""):
            faults.append(f"{car['car']} is at {spot}, the paper says {railroad.spots.get(car['car'])}")
    return faults


def played(texts, plan):
    try:
        railroad = Railroad(texts)
        railroad.evening()
        return compare(railroad, plan) + list(told_otherwise(texts, railroad.loaded)) + list(railroad.unreasoned())
    except Fault as fault:
        return [str(fault)]


def broken(texts):
    """The paper with one thing wrong on it, in several ways."""
    name = next(name for name in texts if name.startswith("switch-list") and "[ ]  PULL " in texts[name])
    text = texts[name]
    row = re.search(r"\[ \]  PULL .*\n", text)
    yield "a car left out", {**texts, name: text.replace(row.group(), "", 1)}
    other = re.sub(r"(\[ \]  PULL +[A-Z]+ \d+ +)([LE])", lambda found: found[1] + "EL"[found[2] == "E"], text, count=1)
    yield "a load that is not there", {**texts, name: other}
    customers = texts["customers.txt"]
    standing = re.search(f"^(?:{CAR.pattern}) +[LE] ", customers, re.M).group()
    turned = standing[:-2] + "EL"[standing[-2] == "E"] + " "
    yield "a load that no list names", {**texts, "customers.txt": customers.replace(standing, turned, 1)}
    work, foot = text.split("Count your work")
    more = re.sub(r"(\d\s+)(\d+)\n", lambda found: f"{found[1]}{int(found[2]) + 1}\n", foot)
    yield "a wrong count", {**texts, name: f"{work}Count your work{more}"}
    reason = re.compile(rf"(it\s+leaves\s+)({CAR.pattern})")
    waits, called = next((name, text) for name, text in texts.items() if name.startswith("switch-list") and reason.search(text))
    other = next(car for car in CAR.findall(texts["set-up.txt"]) if car not in called)
    yield "a reason to wait that is not so", {**texts, waits: reason.sub(lambda found: found[1] + other, called)}
    yield "an order turned round", {**texts, "set-up.txt": swapped(texts["set-up.txt"])}


def swapped(text):
    start = text.index("Every track")
    lines = text[start:].splitlines(keepends=True)
    rows = [n for n in range(len(lines) - 1) if CAR.match(lines[n]) and CAR.match(lines[n + 1])]
    for n in rows:
        lines[n], lines[n + 1] = lines[n + 1], lines[n]
    return text[:start] + "".join(lines)


def main():
    arguments = [argument for argument in sys.argv[1:] if argument != "--self-test"]
    folder, plan = Path(arguments[0]), json.loads(Path(arguments[1]).read_text(encoding="utf-8"))
    texts = {path.name: path.read_text(encoding="utf-8") for path in sorted(folder.glob("*.txt"))}
    if "--self-test" in sys.argv:
        missed = [what for what, paper in broken(texts) if not played(paper, plan)]
        print(*(f"FAILED not seen: {what}" for what in missed), sep="\n", end="\n" if missed else "")
        return 1 if missed else 0
    faults = played(texts, plan)
    for fault in faults:
        print(f"FAILED {folder}: {fault}")
    if not faults:
        print(f"passed a session played from the paper alone: {folder}")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
