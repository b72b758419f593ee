"""The sorting of strings in a yard, against published answers and against every way there is.

Sources: data/sorting.json, which names them: worked examples and formulas of multistage sorting and of train marshalling.
Besides, for all strings of up to 7 cars every way to give cars to the tracks of up to two steps is tried, and for short
strings on one, two or three tracks every sequence of pulls; the moves that come back are carried out by pulling and
shoving alone.

usage: sorting.py SORT_YARD           the program that `cargo build --release --example sort_yard` makes
       sorting.py --self-test
"""

import copy
import itertools
import json
import math
import subprocess
import sys
from pathlib import Path

PUBLISHED = json.loads((Path(__file__).parent / "data" / "sorting.json").read_text(encoding="utf-8"))


def ask(program, strings, *words):
    text = "".join(" ".join(map(str, string)) + "\n" for string in strings)
    done = subprocess.run([program, *words], input=text, capture_output=True, text=True, check=False)
    if done.returncode != 0:
        raise SystemExit(f"{program}: {done.stderr}")
    answers = [json.loads(line) for line in done.stdout.splitlines()]
    if len(answers) != len(strings):
        raise SystemExit(f"{program}: {len(answers)} answers to {len(strings)} strings")
    return answers


def carry_out(string, answer, tracks=None):
    """What is wrong with the moves of an answer: nothing, if they make the train they should."""
    lies, train, pulls = {}, [], 0
    for stage in answer["stages"]:
        if stage["pulled"] is None:
            cut = list(range(len(string)))
        else:
            cut = lies.pop(stage["pulled"], [])
            pulls += 1
        if cut != [car for roll in stage["rolls"] for car in roll["cars"]]:
            return "the cuts are not what was pulled"
        for roll in stage["rolls"]:
            row = train if roll["to"] == "train" else lies.setdefault(roll["to"], [])
            row.extend(roll["cars"])
        if tracks is not None and len([row for row in lies.values() if row]) > tracks:
            return f"more than {tracks} tracks"
    if [stage["pulled"] for stage in answer["stages"]].count(None) != 1 or pulls != answer["steps"]:
        return f"{pulls} pulls, said to be {answer['steps']}"
    if sorted(train) != list(range(len(string))):
        return "cars are left in the yard"
    blocks = [string[car] for car in train]
    return None if blocks == sorted(blocks) else f"the train is {blocks}"


def rearrangements(cars, steps):
    """Every order of the places of a string that so many steps can make, by trying every way to give each car the
    steps at which it is pulled."""
    found = set()
    for codes in itertools.product(range(2**steps), repeat=cars):
        lies, train = [[] for _ in range(steps)], []
        for car, code in enumerate(codes):
            roll(lies, train, car, code, 0)
        for step in range(steps):
            cut, lies[step] = lies[step], []
            for car in cut:
                roll(lies, train, car, codes[car], step + 1)
        found.add(tuple(train))
    return found


def roll(lies, train, car, code, done):
    for step in range(done, len(lies)):
        if code >> step & 1:
            lies[step].append(car)
            return
    train.append(car)


def fewest_pulls(string, tracks):
    """The fewest pulls on so many tracks, by trying every sequence of pulls and every way to give the cars away."""
    wanted, level, seen, pulls = sorted(string), set(), set(), 0
    level = set(spread(((),) * tracks, (), tuple(string), wanted))
    while level:
        if any(not any(lies) for lies, _ in level):
            return pulls
        seen |= level
        after = set()
        for lies, train in level:
            for track in range(tracks):
                if lies[track]:
                    rest = lies[:track] + ((),) + lies[track + 1 :]
                    after.update(spread(rest, train, lies[track], wanted))
        level, pulls = after - seen, pulls + 1
    return None


def spread(lies, train, cut, wanted):
    """Every way to give the cars of a cut away; tracks are alike, so their order does not count."""
    if not cut:
        yield tuple(sorted(lies)), train
        return
    if wanted[len(train)] == cut[0]:
        yield from spread(lies, (*train, cut[0]), cut[1:], wanted)
    for track in range(len(lies)):
        yield from spread(lies[:track] + ((*lies[track], cut[0]),) + lies[track + 1 :], train, cut[1:], wanted)


def published(asked):
    for case in PUBLISHED["multistage"]:
        string = case["inbound"]
        answer = asked(string)
        yield f"{string}: chains", answer["chains"], case["chains"]
        yield f"{string}: steps", answer["steps"], case["min_sorting_steps"]
        yield f"{string}: ceil(log2 chains)", answer["steps"], math.ceil(math.log2(case["chains"]))
        yield f"{string}: moves", carry_out(string, answer), None
        single = asked(string, "--scheme", "single", "--tracks", str(case["chains"] - 1))
        yield f"{string}: each car rolled once", single and carry_out(string, single), None
        if case["chains"] > 1:
            fewer = asked(string, "--scheme", "single", "--tracks", str(case["chains"] - 2))
            yield f"{string}: each car rolled once, a track less", fewer, None
    for case in PUBLISHED["k_road_runs"]:
        yield f"{case}: runs", asked(case["inbound"])["runs"][case["roads"] - 2], case["min_runs"]
    for case in PUBLISHED["train_marshalling"]:
        destinations = sorted(set(case["inbound_destinations"]))
        string = lambda order: [order.index(car) for car in case["inbound_destinations"]]
        best = asked(string(case["one_destination_order"]))["chains"]
        yield f"{case['inbound_destinations']}: its order", best, case["min_tracks"]
        if len(destinations) <= 4:
            orders = itertools.permutations(destinations)
            best = min(asked(string(order))["chains"] for order in orders)
            yield f"{case['inbound_destinations']}: any order", best, case["min_tracks"]
    for row in PUBLISHED["capacities"]:
        steps = row["tracks_or_steps"]
        for scheme, most in (
            ("geometric", row["all_codes_including_direct"]),
            ("triangular", row["codes_with_at_most_two_ones_including_direct"]),
        ):
            words = ("--scheme", scheme, "--tracks", str(steps))
            yield f"{scheme} on {steps}", asked(range(most, 0, -1), *words)["steps"], steps
            beyond = asked(range(most + 1, 0, -1), *words)
            yield f"{scheme} on {steps}, one too many", beyond is None or beyond["steps"] > steps, True


def every_string(asked_all):
    """All orders of up to 7 cars, and all strings of up to 6 cars of three blocks."""
    for cars in range(1, 8):
        strings = list(itertools.permutations(range(1, cars + 1)))
        if cars < 7:
            strings += list(itertools.product((1, 2, 3), repeat=cars))
        made = [rearrangements(cars, steps) for steps in range(3)]
        for string, answer in zip(strings, asked_all(strings)):
            fewest = 3
            for steps in reversed(range(3)):
                if any(is_sorted([string[car] for car in order]) for order in made[steps]):
                    fewest = steps
            yield f"{string}: steps", answer["steps"], fewest
            yield f"{string}: moves", carry_out(string, answer), None


def few_tracks(asked_all):
    for tracks, most in ((1, 6), (2, 5), (3, 4)):
        for cars in range(1, most + 1):
            strings = list(itertools.permutations(range(1, cars + 1)))
            for string, answer in zip(strings, asked_all(strings, "--tracks", str(tracks))):
                yield f"{string} on {tracks}: steps", answer["steps"], fewest_pulls(string, tracks)
                yield f"{string} on {tracks}: moves", carry_out(string, answer, tracks), None


def is_sorted(blocks):
    return all(one <= other for one, other in itertools.pairwise(blocks))


def report(rows):
    compared, faults = 0, []
    for name, is_so, should_be in rows:
        compared += 1
        if is_so != should_be:
            faults.append(f"{name}: {is_so}, not {should_be}")
    return compared, faults


def self_test():
    """4 2 1 3 worked by hand: chains 1, 2 3, 4."""
    good = {
        "chains": 3,
        "steps": 2,
        "stages": [
            {"pulled": None, "rolls": [
                {"to": 1, "cars": [0]}, {"to": 0, "cars": [1]}, {"to": "train", "cars": [2]}, {"to": 0, "cars": [3]}]},
            {"pulled": 0, "rolls": [{"to": "train", "cars": [1, 3]}]},
            {"pulled": 1, "rolls": [{"to": "train", "cars": [0]}]},
        ],
    }
    if carry_out((4, 2, 1, 3), good) is not None:
        sys.exit(f"self-test: sound moves are refused: {carry_out((4, 2, 1, 3), good)}")
    fewer, wrong, lost, other = (copy.deepcopy(good) for _ in range(4))
    fewer["steps"] = 1
    wrong["stages"][0]["rolls"][1]["to"], wrong["stages"][0]["rolls"][2]["to"] = "train", 0
    wrong["stages"][1]["rolls"][0]["cars"] = [2, 3]
    lost["stages"].pop()
    other["stages"][1]["rolls"][0]["cars"] = [3, 1]
    for broken in (fewer, wrong, lost, other):
        if carry_out((4, 2, 1, 3), broken) is None:
            sys.exit("self-test: wrong moves were not seen")
    if carry_out((4, 2, 1, 3), good, 1) is None:
        sys.exit("self-test: a second track was not seen")
    # By hand: 2 1 needs one pull; 3 2 1 on one track two, since only one car can be drawn past another.
    if (fewest_pulls((2, 1), 1), fewest_pulls((3, 2, 1), 1), fewest_pulls((1, 2), 1)) != (1, 2, 0):
        sys.exit("self-test: the search of pulls is wrong")
    if not report([("steps", 3, 2)])[1]:
        sys.exit("self-test: a wrong number was not seen")
    print("sorting: self-test saw 6 wrong answers fail")


def main(program):
    asked_all = lambda strings, *words: ask(program, strings, *words)
    asked = lambda string, *words: asked_all([string], *words)[0]
    failed = False
    for name, rows in (
        ("published strings", published(asked)),
        ("all strings of up to 7 cars", every_string(asked_all)),
        ("few tracks", few_tracks(asked_all)),
    ):
        compared, faults = report(rows)
        failed |= bool(faults)
        for fault in faults[:20]:
            print(f"FAILED sorting: {fault}")
        if not faults:
            print(f"passed sorting, {name}: {compared} comparisons")
    return failed


if __name__ == "__main__":
    sys.exit(self_test() if sys.argv[1:] == ["--self-test"] else main(*sys.argv[1:]))
