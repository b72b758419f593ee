"""Who takes which job, against published makespans and a general solver.

Sources: tests/outside/data/crew-makespans.json names the papers of the published optima (parallel machines with and
without precedence; with no hours at all, the minutes beyond them are the makespan). The random small sessions are
solved again by CP-SAT of OR-Tools on a model written from the definition alone: people take their jobs in the order
given; a job begins when its people are free, what it comes after has ended and its engine is back; its first call begins
once its crew has fetched the engine, a call when the call before it and the calls linked to it are done. Compared in order, less first: minutes of the latest end beyond
the hours; jobs that lack a second person; the busiest minus the mean, times the people; jobs taken after another.

usage: crews.py PROGRAM        the built example `crew_board`
       crews.py --self-test    the model and the walk must tell good answers from bad
"""

import json
import random
import subprocess
import sys
from pathlib import Path

from ortools.sat.python import cp_model

DATA = Path(__file__).parent / "data" / "crew-makespans.json"
SESSIONS = 50


def board_of(processing, machines, precedence=()):
    jobs = [{"calls": [[work, 0]], "after": [a for a, b in precedence if b == job], "crew": 1, "engine": None, "begins": 0, "light": 0}
            for job, work in enumerate(processing)]
    return {"people": machines, "hours": 0, "jobs": jobs, "links": []}


def random_board(draw):
    count = draw.randint(4, 8)
    jobs = []
    for job in range(count):
        calls = [[draw.randint(0, 30), draw.randint(0, 8)] for _ in range(draw.randint(1, 3))]
        after = sorted({draw.randrange(job) for _ in range(draw.choice([0, 0, 1]))}) if job else []
        jobs.append({"calls": calls, "after": after, "crew": draw.choice([1, 1, 2]),
                     "engine": draw.choice([None, None, 0, 1]), "begins": draw.choice([0, 0, 0, 20]), "light": draw.choice([0, 0, 3, 9])})
    links = []
    for _ in range(draw.randint(0, count)):
        one, two = sorted(draw.sample(range(count), 2))
        links.append([one, draw.randrange(len(jobs[one]["calls"])), two, draw.randrange(len(jobs[two]["calls"]))])
    total = sum(map(minutes_of, jobs))
    people = draw.randint(2, 4)
    return {"people": people, "hours": total // people + draw.randint(-10, 20), "jobs": jobs, "links": links}


def minutes_of(job):
    return job["light"] + sum(map(sum, job["calls"]))


def walk(board, hands):
    """What an answer is worth, done over again."""
    free, load, taken = [0] * board["people"], [0] * board["people"], [0] * board["people"]
    ends, done, engines, short = [], [], {}, 0
    for job, crew in zip(board["jobs"], hands):
        assert 1 <= len(set(crew)) == len(crew) <= job["crew"]
        time = max([job["begins"], *(free[p] for p in crew), *(ends[a] for a in job["after"])])
        time = max(time, engines.get(job["engine"], 0) if job["engine"] is not None else 0)
        time += job["light"]
        calls = []
        for number, (work, run) in enumerate(job["calls"]):
            waits = [done[a][b] for a, b, c, d in board["links"] if (c, d) == (len(ends), number)]
            calls.append(max([time, *waits]) + work)
            time = calls[-1] + run
        done.append(calls)
        ends.append(time)
        engines[job["engine"]] = time
        short += job["crew"] > 1 and len(crew) == 1
        for person in crew:
            free[person] = time
            load[person] += minutes_of(job)
            taken[person] += 1
    late = max(0, max(ends) - board["hours"])
    return [late, short, max(load) * board["people"] - sum(load), sum(max(0, jobs - 1) for jobs in taken)]


def optimum(board):
    """The best score, one field after the other."""
    fixed = []
    for field in range(4):
        model, score = model_of(board)
        for known, value in zip(score, fixed):
            model.add(known == value)
        model.minimize(score[field])
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        if solver.solve(model) != cp_model.OPTIMAL:
            sys.exit("the solver did not prove a small board")
        fixed.append(round(solver.objective_value))
    return fixed


def model_of(board):
    model, people = cp_model.CpModel(), range(board["people"])
    horizon = sum(minutes_of(job) + job["begins"] for job in board["jobs"]) + 1
    takes = [[model.new_bool_var("") for _ in people] for _ in board["jobs"]]
    starts = [[model.new_int_var(0, horizon, "") for _ in job["calls"]] for job in board["jobs"]]
    ends, short = [], []
    for number, job in enumerate(board["jobs"]):
        model.add(sum(takes[number]) >= 1)
        model.add(sum(takes[number]) <= job["crew"])
        short.append(job["crew"] - sum(takes[number]))
        begins = starts[number][0] - job["light"]
        model.add(begins >= job["begins"])
        for call in range(1, len(job["calls"])):
            model.add(starts[number][call] >= starts[number][call - 1] + sum(job["calls"][call - 1]))
        ends.append(starts[number][-1] + sum(job["calls"][-1]))
        for before in range(number):
            same = job["engine"] is not None and board["jobs"][before]["engine"] == job["engine"]
            if same or before in job["after"]:
                model.add(begins >= ends[before])
            for person in people:
                model.add(begins >= ends[before]).only_enforce_if(
                    takes[number][person], takes[before][person])
    for a, b, c, d in board["links"]:
        model.add(starts[c][d] >= starts[a][b] + board["jobs"][a]["calls"][b][0])
    late, busiest = model.new_int_var(0, horizon, ""), model.new_int_var(0, horizon, "")
    for end in ends:
        model.add(late >= end - board["hours"])
    minutes = [minutes_of(job) for job in board["jobs"]]
    loads = [sum(takes[job][person] * minutes[job] for job in range(len(minutes))) for person in people]
    works = [model.new_bool_var("") for _ in people]
    for person in people:
        model.add(busiest >= loads[person])
        model.add(works[person] <= sum(row[person] for row in takes))
    changes = sum(sum(row) for row in takes) - sum(works)
    return model, [late, sum(short), busiest * board["people"] - sum(loads), changes]


def ask(program, boards):
    text = "".join(json.dumps(board) + "\n" for board in boards)
    answer = subprocess.run([program], input=text, capture_output=True, text=True, check=True)
    return [json.loads(line) for line in answer.stdout.splitlines()]


def main(program):
    failed = 0
    cases = json.loads(DATA.read_text(encoding="utf-8"))
    published = cases["parallel_machines"] + cases["precedence"]
    boards = [board_of(case["processing"], case["machines"], case.get("precedence", ())) for case in published]
    for case, board, answer in zip(published, boards, ask(program, boards)):
        score = walk(board, answer["hands"])
        if answer["score"] != score or score[0] != case["optimal_makespan"]:
            failed += 1
            print(f"FAILED {case['id']}: {score[0]}, published {case['optimal_makespan']}")
    print(f"{'FAILED' if failed else 'passed'} crews: {len(published)} published makespans")
    draw = random.Random(1966)
    boards = [random_board(draw) for _ in range(SESSIONS)]
    worse, slowest = 0, 0
    for number, (board, answer) in enumerate(zip(boards, ask(program, boards))):
        best = optimum(board)
        slowest = max(slowest, answer["nanoseconds"])
        if not answer["proved"] or answer["score"] != walk(board, answer["hands"]) or answer["score"] != best:
            worse += 1
            print(f"FAILED session {number}: {answer}, the solver has {best}")
    print(f"{'FAILED' if worse else 'passed'} crews: {SESSIONS} small sessions as good as the solver's, "
          f"the slowest {slowest / 1e6:.1f} ms")
    return 1 if failed or worse else 0


def self_test():
    board = board_of([60, 40, 20], 2)
    if walk(board, [[0], [1], [1]]) != [60, 0, 0, 1] or optimum(board) != [60, 0, 0, 1]:
        sys.exit("self-test: three jobs dealt by hand are not worth what they are worth by hand")
    if walk(board, [[0], [0], [1]]) == optimum(board):
        sys.exit("self-test: a bad answer was not seen")
    # Two jobs of 10 minutes with one engine, which the second fetches for 5: 25 minutes, whoever takes them.
    fetched = board_of([10, 10], 2)
    for job, light in zip(fetched["jobs"], (0, 5)):
        job.update(engine=0, light=light)
    if walk(fetched, [[0], [1]]) != [25, 0, 5, 0] or optimum(fetched) != [25, 0, 5, 0]:
        sys.exit("self-test: a light run is not worth what it is worth by hand")
    two = board_of([30, 30], 2)
    for job in two["jobs"]:
        job["crew"] = 2
    two["hours"] = 30
    if optimum(two) != [0, 2, 0, 0] or walk(two, [[0, 1], [0, 1]]) != [30, 0, 0, 2]:
        sys.exit("self-test: jobs that take two are not worth what they are worth by hand")
    print("crews: self-test passed")


if __name__ == "__main__":
    sys.exit(self_test() if sys.argv[1:] == ["--self-test"] else main(sys.argv[1]))
