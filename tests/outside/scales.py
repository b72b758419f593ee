"""Lengths of track in every scale, against the published ratios in exact fractions.

Sources: NEM 010 (MOROP, edition 2011) for Z, N, TT, H0, 0, I, II, III; NMRA S-1.2 for HO, OO, S, O, and for Z, N, TT, where the two
agree (S-1.2 by two secondary lists). HO is 3.5 mm to the foot, printed 1:87.1. British N 1:148, Japanese N 1:150 and 0 in
Britain 1:43.5: secondary lists. TT in Britain (3 mm, 1:101.6) and F (15 mm, 1:20.3): arithmetic. An inch is 25.4 mm exactly.
Room on a track is rounded down to the inch of the prototype, as docs/layout.md says.

usage: scales.py [--self-test]
"""

import sys
from fractions import Fraction
from math import floor

from world import check

RATIOS = {
    "Z": "220", "N": "160", "N (Japan)": "150", "N (British)": "148", "TT": "120", "TT (British)": "101.6",
    "HO": "87.1", "H0": "87", "OO": "76.2", "S": "64", "O": "48", "0": "45", "O (British)": "43.5", "1": "32", "I": "32",
    "II": "22.5", "III": "16", "F": "20.3", "1:76.2": "76.2", "1:29": "29",
}

INCH = Fraction(254, 10)  # millimetres

# What is written, and what it is: inches on the layout, or inches of the prototype.
ON_LAYOUT = {
    "72 in": Fraction(72), "40.5 in": Fraction(81, 2), "6 ft": Fraction(72), "3.25 ft": Fraction(39),
    "1800 mm": 1800 / INCH, "180 cm": 1800 / INCH, "1.8 m": 1800 / INCH, "254 mm": Fraction(10), "25.4 cm": Fraction(10),
    "0.254 m": Fraction(10), "127 mm": Fraction(5), "0.1 in": Fraction(1, 10), "33.3 in": Fraction(333, 10),
    "508 mm": Fraction(20), "76.2 cm": Fraction(30), "2.286 m": Fraction(90), "20.3 in": Fraction(203, 10),
}
OF_PROTOTYPE = {
    "60 scale ft": Fraction(720), "44.5 scale ft": Fraction(534), "18 scale m": 18000 / INCH, "25.4 scale m": Fraction(1000),
    "6 cars": Fraction(6 * 44 * 12),
}
MILE = 5280 * 12


def expected(ratio):
    lengths = {text: floor(inches * Fraction(ratio)) for text, inches in ON_LAYOUT.items()}
    lengths |= {text: floor(inches) for text, inches in OF_PROTOTYPE.items()}
    return {text: inches for text, inches in lengths.items() if 0 < inches <= MILE}


def measured(scale, texts):
    tracks = "".join(
        f'[place.mill.track.t{number}]\nuse = "storage"\nlength = "{text}"\nopens = "both"\n\n'
        for number, text in enumerate(texts)
    )
    code, answer = check(scale=scale, tracks=tracks)
    if code != 0:
        raise SystemExit(f"scale {scale} is refused: {str(answer['faults'])[:600]}")
    found = {track["id"]: track["length"] for place in answer["summary"]["places"] for track in place["tracks"]}
    return {text: found[f"mill/t{number}"] for number, text in enumerate(texts)}


def test(ratios):
    failures, compared = [], 0
    for scale, ratio in ratios.items():
        wanted = expected(ratio)
        found = measured(scale, list(wanted))
        compared += len(wanted)
        failures += [
            f"{scale}: {text} is {found[text]} scale inches, by the ratio 1:{ratio} {inches}"
            for text, inches in wanted.items()
            if found[text] != inches
        ]
    return failures, compared


def self_test():
    if not test({"HO": "87"})[0] or not test({"0": "48"})[0]:
        sys.exit("self-test: a wrong ratio was not seen")
    print("scales: self-test saw wrong ratios fail")


if __name__ == "__main__":
    if sys.argv[1:] == ["--self-test"]:
        self_test()
    else:
        failures, compared = test(RATIOS)
        print("\n".join(failures) or f"passed scales: {compared} lengths in {len(RATIOS)} scales")
        sys.exit(bool(failures))
