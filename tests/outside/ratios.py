"""How long our assignment and our ways take beside those of general libraries, in one run, as ratios.

Source: scipy's linear_sum_assignment on the same matrices (drawn as in assignment.py), and networkx's Dijkstra from every place
of a club's 72 with the places passed, on the same links. Each is asked in turn, three times, and the least time counts. The
ratios are printed and never judged; that the answers are the same is: an answer that differs stops the run.

usage: ratios.py ASSIGN WAYS CLUB     the programs that `cargo build --release --examples` makes
       ratios.py --self-test
"""

import json
import subprocess
import sys
import tempfile
import time

import networkx
from assignment import ask, by_assignment, dense, draw
from ways import graph

SIZES = [(60, 400, 0.3), (250, 1500, 0.1), (500, 500, 1), (500, 3000, 0.1), (500, 3000, 1)]
ROUNDS = 3


def line(what, ours, theirs, whose):
    """Times in seconds, and how many times faster than the library we are."""
    return f"ratio {what}: {ours * 1e3:.2f} ms, {whose} {theirs * 1e3:.2f} ms: {theirs / ours:.1f} times as fast"


def assignments(program):
    for rows, columns, share in SIZES:
        matrix = draw(rows + columns, rows, columns, share, 10**6)
        table, ours, theirs = dense(matrix), [], []
        for _ in range(ROUNDS):
            answer = ask(program, matrix)
            optimum, taken = by_assignment(table)
            if answer["total"] != optimum:
                sys.exit(f"FAILED ratios: {rows} x {columns} costs {answer['total']}, scipy {optimum}")
            ours.append(answer["nanoseconds"] / 1e9)
            theirs.append(taken)
        yield line(f"assignment of {rows} x {columns}, {share:.0%} of it possible", min(ours), min(theirs), "scipy")


def all_ways(net):
    start = time.perf_counter()
    found = {place: networkx.single_source_dijkstra(net, place, weight="seconds") for place in net}
    return found, time.perf_counter() - start


def ways(program, club):
    with tempfile.TemporaryDirectory() as folder:
        subprocess.run([club, folder], check=True)
        ours, theirs = [], []
        for _ in range(ROUNDS):
            answer = json.loads(subprocess.run([program, folder], capture_output=True, text=True, check=True).stdout)
            size = answer["profiles"][0]
            found, taken = all_ways(graph(answer, size))
            for way in size["ways"]:
                best = found[way["from"]][0].get(way["to"])
                if best != way["seconds"]:
                    sys.exit(f"FAILED ratios: {way['from']} to {way['to']} {way['seconds']} s, networkx {best} s")
            ours.append(size["nanoseconds"] / 1e9)
            theirs.append(taken)
        pairs = len(size["ways"])
        yield line(f"ways between {pairs} pairs of places", min(ours), min(theirs), "networkx")


def self_test():
    said = line("it", 0.002, 0.010, "theirs")
    if said != "ratio it: 2.00 ms, theirs 10.00 ms: 5.0 times as fast":
        sys.exit(f"self-test: {said}")
    net = networkx.MultiGraph()
    net.add_edge("a", "b", seconds=60)
    found, taken = all_ways(net)
    if found["a"] != ({"a": 0, "b": 60}, {"a": ["a"], "b": ["a", "b"]}) or taken <= 0:
        sys.exit(f"self-test: {found}")
    print("ratios: self-test saw a ratio and a way")


if __name__ == "__main__":
    if sys.argv[1:] == ["--self-test"]:
        self_test()
    else:
        said = [*assignments(sys.argv[1]), *ways(sys.argv[2], sys.argv[3])]
        print("\n".join(said))
        print(f"passed ratios: {len(said)} measured, the same answers on both sides")
