"""Check digits of twelve-digit wagon numbers: right ones are accepted, wrong ones refused.

Source of the rule: UIC leaflet 438-2, as the English and German encyclopedias on wagon numbers give it: the first eleven
digits are multiplied by 2, 1, 2, 1 … from the right, the digits of the products added up, and the check digit brings
the sum to the next multiple of ten. Sources of the numbers below: those two encyclopedias; an Austrian page
on rail information; a reader's answer on a question site; a German picture archive.
A second, independent computation is python-stdnum's Luhn algorithm, which is the same rule under another name.

usage: digits.py [--self-test]
"""

import sys

from stdnum import luhn

from world import check

PUBLISHED = [
    "21 81 2471 217-3",
    "51 80 0843 001-0",
    "31 81 6650 359-5",
    "31 81 6650 286-0",
    "21 80 9903 001-5",
    "46 80 1555 359-6",
]


def digits(number):
    return "".join(sign for sign in number if sign.isdigit())


def by_the_rule(eleven):
    total = 0
    for place, digit in enumerate(reversed(eleven)):
        product = int(digit) * (2 if place % 2 == 0 else 1)
        total += product // 10 + product % 10
    return str(-total % 10)


def written(twelve):
    return f"{twelve[:2]} {twelve[2:4]} {twelve[4:8]} {twelve[8:11]}-{twelve[11]}"


def agree(number):
    """The published digit, the rule, and the library."""
    twelve = digits(number)
    return twelve[11] == by_the_rule(twelve[:11]) == luhn.calc_check_digit(twelve[:11])


def made_up():
    """Right numbers that nobody published, spread over the serials by a fixed step."""
    for serial in range(0, 1000, 7):
        eleven = f"2181{1000 + 37 * serial % 9000:04}{serial:03}"
        yield written(eleven + luhn.calc_check_digit(eleven))


def wrong():
    """Every other digit at every place, and every swap of two different neighbours except 0 and 9."""
    for number in PUBLISHED:
        twelve = digits(number)
        for place in range(12):
            other = str((int(twelve[place]) + 1 + place % 8) % 10)
            yield written(twelve[:place] + other + twelve[place + 1 :])
            pair = twelve[place : place + 2]
            if len(set(pair)) == 2 and set(pair) != {"0", "9"}:
                yield written(twelve[:place] + pair[::-1] + twelve[place + 2 :])


def refused(numbers):
    """How many of these the program refuses for their check digit, and its exit code."""
    roster = "number,type,home\n" + "".join(f"{number},XM,away\n" for number in numbers)
    code, answer = check(scale="H0", roster=roster)
    found = [fault for fault in answer["faults"] if "check digit" in str(fault)]
    others = [f for f in answer["faults"] if f not in found and "error" in str(f.get("severity", "")).lower()]
    if others:
        raise SystemExit(f"unexpected fault: {others[0]}")
    return code, len(found)


def test(right=None, bad=None):
    right = [*PUBLISHED, *made_up()] if right is None else right
    bad = sorted(set(wrong())) if bad is None else bad
    failures = [f"{number} does not agree with itself" for number in right if not agree(number)]
    failures += [f"{number} is right after all" for number in bad if agree(number)]
    code, count = refused(right)
    if (code, count) != (0, 0):
        failures.append(f"{len(right)} right numbers: exit {code}, {count} refused")
    code, count = refused(bad)
    if (code, count) != (2, len(bad)):
        failures.append(f"{len(bad)} wrong numbers: exit {code}, {count} refused")
    return failures, len(right), len(bad)


def self_test():
    if agree("21 81 2471 217-4"):
        sys.exit("self-test: a wrong digit agrees")
    if not test(right=PUBLISHED[:1], bad=["51 80 0843 001-0"])[0]:
        sys.exit("self-test: a right number among the wrong ones was not seen")
    if not test(right=["21 81 2471 217-4"], bad=["51 80 0843 001-1"])[0]:
        sys.exit("self-test: a wrong number among the right ones was not seen")
    print("digits: self-test saw wrong digits fail")


if __name__ == "__main__":
    if sys.argv[1:] == ["--self-test"]:
        self_test()
    else:
        failures, right, bad = test()
        print("\n".join(failures) or f"passed digits: {right} right numbers accepted, {bad} wrong ones refused")
        sys.exit(bool(failures))
