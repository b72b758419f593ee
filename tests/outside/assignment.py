"""The assignment of cars to orders, against general solvers.

Source of the optimum: scipy's linear_sum_assignment (a modified Jonker-Volgenant algorithm, D. F. Crouse, IEEE
Transactions on Aerospace and Electronic Systems 52, 2016) and OR-Tools' minimum-cost flow by cost scaling, on the same
matrices; and the published instances of data/assignment.json, each with its own source, whose optima stand there.
The matrices are drawn here: dense and sparse, with ties, up to 500 x 3000. Columns are cars, rows orders; every row may
stay unfilled at its own price.

usage: assignment.py ASSIGN           the program that `cargo build --release --example assign` makes
       assignment.py --self-test
"""

import json
import random
import subprocess
import sys
import time
from pathlib import Path

import numpy
from ortools.graph.python import min_cost_flow
from scipy.optimize import linear_sum_assignment

PUBLISHED = Path(__file__).parent / "data" / "assignment.json"
NEVER = 10**6  # dearer than any published assignment: no row stays unfilled that could be filled
HIGHER = 2**70  # prices are packed into numbers wider than a machine word


def draw(seed, rows, columns, share, dearest):
    """A matrix in which each row may take about this share of the columns."""
    chance = random.Random(seed)
    each = max(1, round(columns * share))
    return {
        "rows": [
            [[column, chance.randint(0, dearest)] for column in sorted(chance.sample(range(columns), each))]
            for _ in range(rows)
        ],
        "unfilled": [chance.randint(dearest // 2, 2 * dearest) for _ in range(rows)],
        "columns": columns,
    }


def drawn():
    """Name, matrix; the largest last."""
    for seed in range(60):
        rows, columns = 1 + seed % 9, 1 + (seed * 7) % 11
        yield f"small {seed}", draw(seed, rows, columns, (seed % 4 + 1) / 4, 6 + seed)
    for seed, (rows, columns, share, dearest) in enumerate(
        [
            (60, 40, 1, 1000), (40, 60, 0.3, 1000), (120, 120, 1, 10**6), (120, 120, 0.1, 20),
            (200, 1000, 0.02, 10**9), (300, 150, 0.2, 1000), (250, 1500, 0.3, 50),
            (500, 3000, 0.01, 10**6), (500, 3000, 0.1, 10**6), (500, 500, 1, 10**6), (500, 3000, 1, 10**6),
        ]
    ):
        yield f"{rows} x {columns}, {share:.0%}, to {dearest}", draw(1000 + seed, rows, columns, share, dearest)


def table(costs, unfilled):
    """A table of prices; where nothing stands, the choice is forbidden."""
    rows = [[[column, price] for column, price in enumerate(row) if price is not None] for row in costs]
    return {"rows": rows, "unfilled": [unfilled] * len(rows), "columns": len(costs[0])}


def published():
    """Name, matrix, and the optimum of the rows that can be filled."""
    answer = json.loads(PUBLISHED.read_text(encoding="utf-8"))
    for case in answer["assignment"]:
        yield case["id"], table(case["cost"], NEVER), case["optimum"]
    for case in answer["transportation"]:  # one row for each unit supplied, one column for each unit wanted
        columns = [which for which, wanted in enumerate(case["demand"]) for _ in range(wanted)]
        costs = [[row[which] for which in columns] for row, units in zip(case["cost"], case["supply"]) for _ in range(units)]
        yield case["id"], table(costs, NEVER), case["optimum"]


def dense(matrix):
    """The same as a full table for scipy: a column more for each row, for staying unfilled."""
    rows, columns = len(matrix["rows"]), matrix["columns"]
    costs = numpy.full((rows, columns + rows), numpy.inf)
    for row, choices in enumerate(matrix["rows"]):
        for column, price in choices:
            costs[row, column] = price
        costs[row, columns + row] = matrix["unfilled"][row]
    return costs


def by_assignment(costs):
    """scipy's optimum and the time it took."""
    start = time.perf_counter()
    rows, columns = linear_sum_assignment(costs)
    taken = time.perf_counter() - start
    return sum(int(costs[row, column]) for row, column in zip(rows, columns)), taken


def by_flow(matrix):
    """OR-Tools' optimum: source 0, rows, columns, and a sink that takes unfilled rows too."""
    rows, columns = len(matrix["rows"]), matrix["columns"]
    sink = 1 + rows + columns
    arcs = [(0, 1 + row, 0) for row in range(rows)] + [(1 + rows + column, sink, 0) for column in range(columns)]
    for row, choices in enumerate(matrix["rows"]):
        arcs += [(1 + row, 1 + rows + column, price) for column, price in choices]
        arcs.append((1 + row, sink, matrix["unfilled"][row]))
    tails, heads, prices = (numpy.array(part) for part in zip(*arcs))
    flow = min_cost_flow.SimpleMinCostFlow()
    flow.add_arcs_with_capacity_and_unit_cost(tails, heads, numpy.ones(len(arcs), dtype=int), prices)
    flow.set_nodes_supplies(numpy.array([0, sink]), numpy.array([rows, -rows]))
    if flow.solve() != flow.OPTIMAL:
        raise SystemExit("OR-Tools found no flow")
    return flow.optimal_cost()


def ask(program, matrix):
    done = subprocess.run([program], input=json.dumps(matrix), capture_output=True, text=True, check=False)
    if done.returncode != 0:
        raise SystemExit(f"{program}: {done.stderr}")
    return json.loads(done.stdout)


def cost_of(matrix, answer):
    """What the columns of an answer cost together, or what is wrong with them."""
    taken = [column for column in answer["columns"] if column is not None]
    if len(answer["columns"]) != len(matrix["rows"]) or len(taken) != len(set(taken)):
        return "not one column for each row and one row for each column"
    total = 0
    for row, column in enumerate(answer["columns"]):
        prices = dict(map(tuple, matrix["rows"][row]))
        if column is not None and column not in prices:
            return f"row {row} cannot take column {column}"
        total += matrix["unfilled"][row] if column is None else prices[column]
    return total


def judge(matrix, answer, optima):
    """What is wrong with an answer, if anything."""
    cost = cost_of(matrix, answer)
    if cost != answer["total"]:
        return [f"said to cost {answer['total']}, costs {cost}"]
    return [f"costs {cost}, {who} {optimum}" for who, optimum in optima.items() if cost != optimum]


def packed(matrix):
    """The same choices with two prices each, the first above the second, in one number too wide for a word."""
    small = {
        "rows": [[[column, price % 5 * 2**20 + price] for column, price in row] for row in matrix["rows"]],
        "unfilled": [5 * 2**20] * len(matrix["rows"]),
        "columns": matrix["columns"],
    }
    wide = {
        "rows": [[[column, (price >> 20) * HIGHER + price % 2**20] for column, price in row] for row in small["rows"]],
        "unfilled": [5 * HIGHER] * len(matrix["rows"]),
        "columns": matrix["columns"],
    }
    return small, wide


def test(program):
    failures, count, ours, theirs = [], 0, 0.0, 0.0
    for name, matrix, optimum in published():
        filled = min(len(matrix["rows"]), matrix["columns"])
        wanted = optimum + NEVER * (len(matrix["rows"]) - filled)
        optima = {"published": wanted, "scipy": by_assignment(dense(matrix))[0], "OR-Tools": by_flow(matrix)}
        failures += [f"{name}: {fault}" for fault in judge(matrix, ask(program, matrix), optima)]
        count += 1
    for name, matrix in drawn():
        answer = ask(program, matrix)
        optimum, taken = by_assignment(dense(matrix))
        failures += [f"{name}: {fault}" for fault in judge(matrix, answer, {"scipy": optimum, "OR-Tools": by_flow(matrix)})]
        count += 1
        ours, theirs = ours + answer["nanoseconds"] / 1e9, theirs + taken
        if not name.startswith("small"):
            print(f"assignment {name}: {answer['nanoseconds'] / 1e6:.1f} ms, scipy {taken * 1e3:.1f} ms")
        if matrix["columns"] <= 200:
            small, wide = packed(matrix)
            best = by_assignment(dense(small))[0]
            answer = ask(program, wide)
            split = answer["total"] // HIGHER * 2**20 + answer["total"] % HIGHER
            failures += [f"{name}, packed: {fault}" for fault in judge(wide, answer, {})]
            failures += [f"{name}, packed: {split}, scipy {best}"] if split != best else []
            count += 1
    return failures, f"{count} matrices, the time of scipy x {ours / theirs:.2f}"


def self_test():
    for name, matrix, optimum in published():
        costs = {by_assignment(dense(matrix))[0], by_flow(matrix)}
        if len(costs) != 1 or costs.pop() % NEVER != optimum:
            sys.exit(f"self-test: the solvers do not find the published optimum of {name}")
    _, matrix, optimum = next(published())
    good = {"columns": [1, 0, 2], "total": 27}
    broken = [
        ({"columns": [1, 0, 0], "total": 28}, optimum),  # a car for two orders
        ({"columns": [0, 1, 2], "total": 38}, optimum),  # dearer
        ({"columns": [1, 0, 2], "total": 26}, 26),  # miscounted
        ({"columns": [1, 0], "total": 19}, 19),  # a row forgotten
        ({"columns": [1, 0, 3], "total": 27}, optimum),  # no such column
    ]
    if judge(matrix, good, {"published": optimum}):
        sys.exit("self-test: the published assignment is refused")
    for answer, best in broken:
        if not judge(matrix, answer, {"published": best}):
            sys.exit(f"self-test: {answer} was not seen to be wrong")
    print(f"assignment: self-test saw {len(broken)} wrong answers fail")


if __name__ == "__main__":
    if sys.argv[1:] == ["--self-test"]:
        self_test()
    else:
        failures, said = test(sys.argv[1])
        print("\n".join(f"FAILED assignment {failure}" for failure in failures) or f"passed assignment: {said}")
        sys.exit(bool(failures))
