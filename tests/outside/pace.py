"""The pace learned from recorded minutes, against numpy and scipy on random evenings.

The definition is taken from the head of src/study/pace/fit.rs: a job of `n` deeds of a kind that are given `s` seconds
each, `c` the crew's factor (1 for running, whose `n` are minutes of links), has the share x = n s c / (all + 600 s) of its
time in it, where `all` is the sum of n s c over the kinds, and took longer by the share t = (took - all) / (all + 600 s); the least of  sum h(t - x b) + b'Qb / 2  with -1 <= b <= 4 is sought, where
h is Huber's function (P. J. Huber, Robust Estimation of a Location Parameter, 1964; the bend at 1.345 times the scatter
is from memory) and Q is the scatter squared times the inverse of 0.4^2 11' + 0.3^2 I: ridge regression on the scaled
columns (A. E. Hoerl and R. W. Kennard, 1970, from memory). Compared, each with the answer of `setout pace --as json`:

* no row odd, no bound reached: the closed solution by numpy.linalg.solve, and ridge regression on augmented rows
  by numpy.linalg.lstsq;
* bounds reached: scipy.optimize.lsq_linear on augmented rows;
* odd rows too: scipy.optimize.minimize (L-BFGS-B) on the function itself.

Seconds are whole in the answer; the layouts here give hundreds of them, so that rounding is within a thousandth.
Tolerance: a thousandth of what is given, and the rounding.

usage: pace.py                 needs SETOUT, the built program
       pace.py --self-test     answers that are off must be seen
"""

import json
import os
import random
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np
from scipy import optimize

KEYS = ["handling", "car", "coupling", "turnout", "spot", "run_around", "reading", "running"]
COUNTS = ["handlings", "cars", "couplings", "turnouts", "spots", "run_arounds", "reading"]
SCATTER, WHOLE, EACH, CLOCK = 0.2, 0.4, 0.3, 600
ODD = 1.345 * SCATTER
KNOWN = SCATTER ** 2 * np.linalg.inv(WHOLE ** 2 * np.ones((8, 8)) + EACH ** 2 * np.eye(8))
CASES = 200

LAYOUT = """
[layout]
name = "Two tracks"
scale = "HO"
days = { first = 1978-10-02, last = 1978-10-02 }
[railroad.CHT]
name = "Carrow Harbor Terminal"
home = true
[place.harbor]
name = "Harbor"
railroad = "CHT"
[place.harbor.track.1]
use = "yard"
length = "6 ft"
opens = "both"
[pace]
"""


def folder_of(given, evenings):
    """A layout with this pace and a ledger of these evenings, each a list of (counts, the last being minutes of links, crew, minutes)."""
    folder = Path(tempfile.mkdtemp())
    pace = "".join(f"{key} = {minutes}\n" for key, minutes in zip(KEYS, given))
    (folder / "layout.toml").write_text(LAYOUT + pace, encoding="utf-8")
    (folder / "ledger").mkdir()
    (folder / "ledger" / "standing.toml").write_text(f"format = 1\nsession = {len(evenings)}\n", encoding="utf-8")
    for session, jobs in enumerate(evenings, 1):
        lines = [f"format = 1\nsession = {session}\nrevision = 1\nhappened = \"as planned\"\n\n[minutes]\n"]
        for number, (counts, crew, took) in enumerate(jobs):
            counted = ", ".join(f"{key} = {count}" for key, count in zip(COUNTS, counts))
            lines.append(f"job-{number} = {{ took = {took}, work_seconds = 0, run_seconds = 0, "
                         f"link_seconds = {60 * counts[-1]}, crew_percent = {crew}, {counted} }}\n")
        (folder / "ledger" / f"{session:04}").mkdir()
        (folder / "ledger" / f"{session:04}" / "recorded.toml").write_text("".join(lines), encoding="utf-8")
    return folder


def asked(given, evenings):
    folder = folder_of(given, evenings)
    try:
        ran = subprocess.run([os.environ["SETOUT"], "pace", folder, "--as", "json"], capture_output=True, text=True, check=True)
    finally:
        shutil.rmtree(folder)
    answer = json.loads(ran.stdout)
    return np.array([deed["learned_seconds"] for deed in answer["deeds"]], dtype=float)


def factor_of(crew):
    return np.array([crew / 100] * 7 + [1])


def rows_of(given, evenings):
    seconds = 60 * np.array(given, dtype=float)
    shares, longer = [], []
    for counts, crew, took in (job for evening in evenings for job in evening):
        parts = np.array(counts) * seconds * factor_of(crew)
        whole = parts.sum() + CLOCK
        shares.append(parts / whole)
        longer.append((took * 60 - parts.sum()) / whole)
    return np.array(shares), np.array(longer)


def function(factors, shares, longer):
    left = np.abs(longer - shares @ factors)
    cost = np.where(left <= ODD, left ** 2 / 2, ODD * left - ODD ** 2 / 2).sum()
    return cost + factors @ KNOWN @ factors / 2


def slope(factors, shares, longer):
    left = longer - shares @ factors
    return KNOWN @ factors - shares.T @ np.clip(left, -ODD, ODD)


def augmented(shares, longer):
    root = np.linalg.cholesky(KNOWN).T
    return np.vstack([shares, root]), np.concatenate([longer, np.zeros(8)])


def best(shares, longer):
    """The factors by the general solvers, all those that apply agreeing with each other."""
    matrix, right = augmented(shares, longer)
    found = optimize.minimize(function, np.zeros(8), args=(shares, longer), jac=slope, method="L-BFGS-B",
                              bounds=[(-1, 4)] * 8, options={"maxiter": 5000, "ftol": 1e-15, "gtol": 1e-10}).x
    kinds = ["huber"]
    bounded = optimize.lsq_linear(matrix, right, bounds=(-1, 4), method="bvls").x
    if (np.abs(longer - shares @ bounded) <= ODD).all():
        kinds.append("bounded")
        agree(found, bounded)
        free = np.linalg.lstsq(matrix, right, rcond=None)[0]
        if (free > -1).all() and (free < 4).all():
            kinds.append("ridge")
            agree(found, free)
            agree(found, np.linalg.solve(KNOWN + shares.T @ shares, shares.T @ longer))
    return found, kinds


def agree(one, other):
    if np.abs(one - other).max() > 2e-4:
        sys.exit(f"the general solvers do not agree: {one}, {other}")


def drawn(draw, number):
    """A pace and evenings: crews as a whole off, deeds off, jobs scattered, in half of the cases an odd evening, and in
    a third of them deeds that take next to nothing."""
    given = [draw.choice([10, 15, 25, 30]) for _ in KEYS]
    whole = draw.uniform(0.7, 1.6)
    real = [whole * draw.uniform(0.75, 1.25) for _ in KEYS]
    if number % 3 == 0:
        for deed in range(8):
            real[deed] = draw.choice([0, real[deed]]) if deed != 1 else 0
    scatter = draw.choice([0.02, 0.1, 0.2])
    evenings = []
    for evening in range(draw.randint(1, 10)):
        odd = draw.choice([0.4, 2.5]) if number % 2 and evening == 0 else 1
        jobs = []
        for _ in range(draw.randint(1, 16)):
            counts = [draw.randint(0, most) for most in (20, 60, 30, 20, 8, 3, 15, 12)]
            if number % 3 == 0:
                counts = [count * draw.choice([0, 0, 1]) for count in counts]
                counts[1] += 60
            crew = draw.choice([100, 100, 120, 80])
            took = (np.array(counts) * given * real * factor_of(crew)).sum() * odd * max(0.1, draw.gauss(1, scatter))
            jobs.append((counts, crew, max(1, round(took))))
        evenings.append(jobs)
    return given, evenings


def wrong(given, answer, factors):
    seconds = 60 * np.array(given, dtype=float)
    return (np.abs(answer - seconds * (1 + factors)) > 0.5 + seconds / 1000).any()


def main():
    draw = random.Random(1978)
    failed, reached = 0, {"huber": 0, "bounded": 0, "ridge": 0, "at a bound": 0}
    for number in range(CASES):
        given, evenings = drawn(draw, number)
        factors, kinds = best(*rows_of(given, evenings))
        answer = asked(given, evenings)
        for kind in kinds + ["at a bound"] * bool((factors < -0.9999).any()):
            reached[kind] += 1
        if wrong(given, answer, factors):
            failed += 1
            print(f"FAILED pace {number}: {answer / 60 / given - 1}, the solver has {factors}")
    if min(reached.values()) < 5:
        failed += 1
        print(f"FAILED pace: too few cases of a kind: {reached}")
    told = ", ".join(f"{kind} {count}" for kind, count in reached.items())
    print(f"{'FAILED' if failed else 'passed'} pace: {CASES} ledgers ({told})")
    return 1 if failed else 0


def self_test():
    draw = random.Random(7)
    for number in range(6):
        given, evenings = drawn(draw, number)
        shares, longer = rows_of(given, evenings)
        factors, _ = best(shares, longer)
        for deed in range(8):
            for step in (-0.05, 0.05):
                other = factors.copy()
                other[deed] = min(4, max(-1, other[deed] + step))
                if other[deed] != factors[deed] and function(other, shares, longer) < function(factors, shares, longer):
                    sys.exit("self-test: the solver's answer is not the least")
        answer = 60 * np.array(given) * (1 + factors)
        if wrong(given, np.round(answer), factors) or not wrong(given, answer * 1.01, factors):
            sys.exit("self-test: a pace that is off by a hundredth was not seen")
    print("pace: self-test passed")


if __name__ == "__main__":
    sys.exit(self_test() if sys.argv[1:] == ["--self-test"] else main())
