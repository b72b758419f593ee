"""Switching puzzles: the fewest moves of published instances, and of all starts.

Sources: data/fan.json and data/loop.json, each of which names its own (rules, the count of a move, published tables,
and what was computed for them by other programs). Beside them stands a plain breadth-first search of the fan puzzle,
written here from its rules alone; its levels must be the program's, and its speed is told.

usage: puzzles.py FOLDER        where `cargo build --release --example switching_puzzle --example switching_cells` puts them
       puzzles.py --self-test
"""

import itertools
import json
import resource
import subprocess
import sys
import time
from collections import Counter
from pathlib import Path

DATA = Path(__file__).parent / "data"
PLAIN_STATES = 150_000  # as far as the plain search goes on the large puzzle


def fan_data():
    return json.loads((DATA / "fan.json").read_text())


def loop_data():
    return json.loads((DATA / "loop.json").read_text())


class Fan:
    """The program, asked about one goal."""

    def __init__(self, folder, tracks, lead, start, goal):
        self.command = [
            f"{folder}/switching_puzzle", "--tracks", ",".join(map(str, tracks)), "--lead", str(lead),
            "--start", start, "--goal", goal,
        ]

    def run(self, *options, text=""):
        done = subprocess.run([*self.command, *options], input=text, capture_output=True, text=True)
        if done.returncode:
            raise SystemExit(f"{' '.join(self.command)}: exit {done.returncode}: {done.stderr}")
        return done.stdout

    def one(self):
        """The fewest moves, whether they are proved, and the moves."""
        lines = self.run().splitlines()
        return int(lines[0]), lines[1] == "proved", lines[2:]

    def processor_time(self):
        """The seconds of processor time that the whole process takes: other work on the machine counts little."""
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        self.run()
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime

    def batch(self, starts):
        """(moves, proved) for each start, and the states and nanoseconds of them all."""
        *lines, last = self.run("--batch", text="\n".join(starts)).splitlines()
        answers = [(int(moves), proved == "proved") for moves, proved, _ in (line.split() for line in lines)]
        states, _, _, nanoseconds, _ = last.split()
        return answers, int(states), int(nanoseconds)

    def histogram(self):
        """By shape, how many states are how many moves away."""
        answer = json.loads(self.run("--histogram"))
        shapes = {
            tuple(map(int, shape.split("-"))): {int(moves): count for moves, count in counts.items()}
            for shape, counts in answer["shapes"].items()
        }
        return shapes, answer["states"], answer["nanoseconds"]


def replayed(start, steps):
    """The tracks after the moves, as the rules have them: a plain list for each track and the lead."""
    lead, _, on_tracks = start.rpartition(":")
    lead, tracks = list(lead), [list(cars) for cars in on_tracks.split("/")]
    for step in steps:
        _, verb, count, _, _, _, track = step.split()
        cars, count = tracks[int(track) - 1], int(count)
        source, target = (cars, lead) if verb == "pull" else (lead, cars)
        for _ in range(count):
            target.insert(0, source.pop(0))
    return lead, ["".join(cars) for cars in tracks]


def right(start, goal, room, lead_room, steps):
    lead, tracks = replayed(start, steps)
    fits = len(lead) <= lead_room and all(len(cars) <= most for cars, most in zip(tracks, room, strict=True))
    return fits and not lead and all(want in ("*", cars) for want, cars in zip(goal.split("/"), tracks, strict=True))


def neighbours(state, room):
    """The states one pull or push away: a row of rows, the lead first, each from the switch inward."""
    lead = state[0]
    for track in range(1, len(state)):
        cars = state[track]
        for source, target, most in ((cars, lead, room[0]), (lead, cars, room[track])):
            for count in range(1, min(len(source), most - len(target)) + 1):
                moved, kept = source[:count][::-1] + target, source[count:]
                new = list(state)
                new[0], new[track] = (moved, kept) if source is cars else (kept, moved)
                yield tuple(new)


def plain(goal, room, most=None):
    """Breadth first from a state: for each shape how many states at which level; whole levels only."""
    seen, level, depth, shapes = {goal}, [goal], 0, {}
    while level and (most is None or len(seen) < most):
        for state in level:
            shapes.setdefault(tuple(map(len, state)), Counter())[depth] += 1
        following = []
        for state in level:
            for new in neighbours(state, room):
                if new not in seen:
                    seen.add(new)
                    following.append(new)
        level, depth = following, depth + 1
    return shapes, depth, len(seen)


def added(shapes, wanted=lambda shape: True):
    total = Counter()
    for shape, counts in shapes.items():
        if wanted(shape):
            total.update(counts)
    return dict(total)


def whole_numbers(counts, times=1):
    return {int(moves): count // times for moves, count in counts.items()}


WHERE = {
    "all states": lambda shape: True,
    "headshunt empty": lambda shape: shape[0] == 0,
    "standard start 5-3-0": lambda shape: shape == (0, 5, 3, 0),
    "long siding full, others split anyhow": lambda shape: shape[:2] == (0, 5),
}


def instances(folder, data, say):
    """Every instance alone: the fewest moves, proved, and moves that really lead to the goal."""
    hardest = 0
    for case in data["instances"]:
        fan = Fan(folder, data["tracks"], data["lead"], case["start"], case["goal"])
        moves, proved, steps = fan.one()
        if (moves, proved, len(steps)) != (case["moves"], True, case["moves"]):
            yield f"{case['id']}: {moves} moves, proved: {proved}, expected {case['moves']}"
        if not right(case["start"], case["goal"], data["tracks"], data["lead"], steps):
            yield f"{case['id']}: the moves do not lead to the goal"
        if case["moves"] >= 20:
            hardest = max(hardest, min(fan.processor_time() for _ in range(5)))
    say(f"the hardest instance, whole process: {hardest * 1000:.1f} ms of processor time")


def small(folder, data):
    """All starts of the small puzzle, and its states against the plain search."""
    given = data["small"]
    for goal, column in zip(given["goals"], (1, 2), strict=True):
        fan = Fan(folder, given["tracks"], given["lead"], given["starts"][0][0], goal)
        answers, _, _ = fan.batch([row[0] for row in given["starts"]])
        for row, answer in zip(given["starts"], answers, strict=True):
            if answer != (row[column], True):
                yield f"{row[0]} to {goal}: {answer}, expected {row[column]}"
    fan = Fan(folder, given["tracks"], given["lead"], "123/45/", "123/45/")
    mine, _, _ = plain(("", "123", "45", ""), [given["lead"], *given["tracks"]])
    if fan.histogram()[0] != mine:
        yield "the small puzzle's states are not those of the plain search"


def all_starts(folder, data, say):
    """The histograms over all states; all 40,320 starts are among them."""
    exact = Fan(folder, data["tracks"], data["lead"], "12345/678/", "12345/678/")
    shapes, states, nanoseconds = exact.histogram()
    train, _, _ = Fan(folder, data["tracks"], data["lead"], "12345/678/", "12345/*/*").histogram()
    for name, wanted in WHERE.items():
        # The train's three other cars are alike here, and were told apart there.
        for found, given, times in ((shapes, "exact", 1), (train, "train", 6)):
            if added(found, wanted) != whole_numbers(data["histograms"][given][name], times):
                yield f"{given}, {name}: not the histogram"
    begun = time.perf_counter()
    mine, depth, seen = plain(("", "12345", "678", ""), [data["lead"], *data["tracks"]], PLAIN_STATES)
    seconds = time.perf_counter() - begun
    if added(mine) != {moves: count for moves, count in added(shapes).items() if moves < depth}:
        yield "the first levels are not those of the plain search"
    ours, plainly = states / nanoseconds * 1e9, seen / seconds
    say(f"states a second: {ours:,.0f}, a plain search in Python beside it {plainly:,.0f}")


def targets(folder, data):
    """Every train of five from one start; the other way round, one train from every start."""
    fan = Fan(folder, data["tracks"], data["lead"], "12345/678/", "12345/*/*")
    expected = [int(digit, 36) for digit in data["targets"]["moves"]]
    starts = []
    for train in itertools.permutations("12345678", 5):
        others = [car for car in "12345678" if car not in train]
        renamed = str.maketrans("".join(train) + "".join(others), "12345678")
        starts.append("12345/678/".translate(renamed))
    answers, states, nanoseconds = fan.batch(starts)
    wrong = sum(answer != (moves, True) for answer, moves in zip(answers, expected, strict=True))
    if wrong:
        yield f"{wrong} of {len(expected)} trains take other than the fewest moves"


def loops(folder, data):
    for plan in data["plans"]:
        question = {
            "cells": [{"name": name, "turnout": turnout} for name, turnout in plan["cells"]],
            "rightward": plan["rightward"],
            "questions": [{"start": case["start"], "goal": case["goal"]} for case in plan["instances"]],
        }
        done = subprocess.run(
            [f"{folder}/switching_cells"], input=json.dumps(question), capture_output=True, text=True, check=True
        )
        for case, line in zip(plan["instances"], done.stdout.splitlines(), strict=True):
            answer = json.loads(line)
            if (answer["runs"], answer["proved"]) != (case["runs"], True):
                yield f"{plan['plan']}, {case['id']}: {answer}, expected {case['runs']}"


def report(name, failures):
    failures = list(failures)
    print("\n".join(f"FAILED {name}: {failure}" for failure in failures) or f"passed {name}")
    return len(failures)


def test(folder):
    fan, loop = fan_data(), loop_data()
    said = []
    failed = report(f"fan puzzle: {len(fan['instances'])} instances", instances(folder, fan, said.append))
    failed += report("fan puzzle: all starts of the small one", small(folder, fan))
    failed += report("fan puzzle: every state of the large one", all_starts(folder, fan, said.append))
    failed += report("fan puzzle: every train from one start", targets(folder, fan))
    failed += report("lead-and-loop puzzle", loops(folder, loop))
    print("\n".join(said))
    return failed


def self_test():
    """Wrong values must be seen, and the plain search must know its own puzzle."""
    if right("21/3/", "12/3/", [2, 1, 1], 2, []) or not right("21/3/", "21/3/", [2, 1, 1], 2, []):
        sys.exit("self-test: a goal that is not reached was not seen")
    steps = ["1. pull 2 cars from track 1"]
    if right("21/3/", "*/3/", [2, 1, 1], 2, steps):
        sys.exit("self-test: cars left on the lead were not seen")
    if right("21/3/", "*/*/*", [2, 1, 1], 1, [*steps, "2. push 2 cars into track 2"]):
        sys.exit("self-test: an overfull track was not seen")
    shapes, depth, seen = plain(("", "12", ""), [2, 2, 1])
    if seen != sum(added(shapes).values()) or depth < 3:
        sys.exit("self-test: the plain search lost states")
    data = fan_data()
    if sum(map(int, data["histograms"]["exact"]["all states"].values())) != 2_136_960:
        sys.exit("self-test: the histogram is not complete")
    print("puzzles: self-test saw wrong answers fail")


if __name__ == "__main__":
    if sys.argv[1:] == ["--self-test"]:
        self_test()
    else:
        sys.exit(bool(test(sys.argv[1])))
