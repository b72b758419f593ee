"""The printed page: a browser prints every form at every size, and the sheets of paper are measured and read.

Sources: sizes of paper by ISO 216 (A4: 210 x 297 mm) and ANSI/ASME Y14.1 (A: 8.5 x 11 in); cards of 4 x 6 and 3 x 5 in, and half a
letter sheet (common practice, no source). Chromium prints, pdfinfo and pdftotext (poppler) measure and read.

Every piece of text (a car's line, a card, a fact, a paragraph) must be found on the sheets, whole; cars' lines, cards and facts on one
sheet each, below the head of their table and that of their group. No sheet ends with a heading. No word is outside the sheet, or over another.
What the margins say takes one line.

usage: printed.py LAYOUT-FOLDER [SIZE...]      (a session must be planned in it; all sizes, if none is named)
       printed.py --self-test
"""

import json
import os
import re
import subprocess
import sys
import tempfile
from collections import Counter
from pathlib import Path
from xml.etree import ElementTree

HERE = Path(__file__).parent
# Points of 1/72 in: width, height.
SIZES = {"letter": (612, 792), "a4": (595.28, 841.89), "half": (396, 612), "4x6": (432, 288), "3x5": (360, 216)}
# What each size is printed with besides: letters of 18 points, and backs of cards.
PRINTS = [(size, []) for size in SIZES] + [("letter", ["--large"]), ("half", ["--large"]), ("4x6", ["--large"]), ("letter", ["--duplex"]), ("half", ["--duplex"]), ("4x6", ["--duplex"])]
# The least margin, in points, and how much of a word another may cover.
MARGIN, COVERED = 8, 0.3
# So many letters of the head of a group tell which it is.
KNOWN = 12
# What may run on from one sheet to the next; on cards also a line of a form that nobody carries, if it is long.
RUNS_ON = ("p",)
CARRIED = ("switch-list", "moves", "car-cards")


def closed(text):
    """Text without its spaces: a browser may break a line wherever it likes."""
    return "".join(text.split())


def marks_of(said, sheets):
    """By sheet, what its margins say."""
    return [[said["page"].replace("#", str(number)).replace("%", str(len(sheets))), *said["marks"]] for number in range(1, len(sheets) + 1)]


def size_faults(size, told, sheets, marks):
    """The sheets are of the size, and each says whose it is and which of how many."""
    faults = []
    pages = int(re.search(r"^Pages:\s+(\d+)", told, re.M).group(1))
    wide, high = map(float, re.search(r"^Page size:\s+([\d.]+) x ([\d.]+)", told, re.M).groups())
    if abs(wide - SIZES[size][0]) > 1 or abs(high - SIZES[size][1]) > 1:
        faults.append(f"{wide} x {high} pt instead of {SIZES[size]}")
    if len(sheets) != pages:
        faults.append(f"{pages} pages, {len(sheets)} with text")
    for number, (sheet, said) in enumerate(zip(sheets, marks), 1):
        for mark in said:
            if not mark or closed(mark) not in closed(sheet):
                faults.append(f"sheet {number} does not say {mark!r}")
    return faults


def runs_on(text, pages, heads):
    """Whether a text begins at the end of one sheet, and goes on below the head of the next."""
    for page, following in zip(pages, pages[1:]):
        for at in range(len(text) - 1, 0, -1):
            if page.endswith(text[:at]) and any(following.startswith(head + text[at:]) for head in heads):
                return True
    return False


def text_faults(pieces, stray, sheets, marks, long_lines=False):
    """Every piece is in print as often as on the page, whole, and under its head."""
    faults = [f"{text[:40]!r} is in no piece" for text in stray]
    pages = []
    for sheet, said in zip(sheets, marks):
        text = closed(sheet)
        for mark in said:
            text = text.replace(closed(mark), "", 1)
        pages.append(text)
    print_ = "".join(pages)
    wanted = Counter(closed(piece["text"]) for piece in pieces)
    for piece in pieces:
        text, head = closed(piece["text"]), closed(piece["head"])
        # The head of its group, or what is said of it where it goes on: that may be cut short, to one line.
        groups = [closed(group)[:KNOWN] for group in piece.get("groups", [])]
        repeated = [closed(heading)[:KNOWN] for heading in piece.get("repeated", [])]
        there = [page for page in pages if text in page]
        if not there and long_lines and runs_on(text, pages, {head, "", *(closed(heading) + head for heading in piece.get("repeated", []))}):
            continue
        if print_.count(text) < wanted[text] or (piece["kind"] in RUNS_ON and text not in print_):
            faults.append(f"cut off, or not there: {piece['text'].strip()[:60]!r}")
        elif piece["kind"] not in RUNS_ON and not there:
            faults.append(f"split over two sheets: {piece['text'].strip()[:60]!r}")
        elif head and there and not any(head in page and page.index(head) <= page.rindex(text) for page in there):
            faults.append(f"without the head of its table: {piece['text'].strip()[:60]!r}")
        elif repeated and there and not any(heading in page and page.index(heading) <= page.rindex(text) for page in there for heading in repeated):
            faults.append(f"without the heading of its table: {piece['text'].strip()[:60]!r}")
        elif groups and there and not any(group in page and page.index(group) <= page.rindex(text) for page in there for group in groups):
            faults.append(f"without the head of its group: {piece['text'].strip()[:60]!r}")
    titles = [piece for piece in pieces if piece["kind"] in ("h1", "h2")]
    heads = {closed(piece["head"]) for piece in pieces} | {closed(piece["text"]) for piece in titles}
    others = {closed(piece["text"]) for piece in pieces if piece not in titles}
    for number, page in enumerate(pages, 1):
        # A line of a table may end with the same words as a heading.
        ends = [head for head in heads - {""} if page.endswith(head) and not any(page.endswith(text) for text in others if text.endswith(head))]
        faults += [f"sheet {number} ends with the heading {head!r}" for head in ends]
    return faults


def place_faults(boxes):
    """No word outside the sheet, none over another. Boxes: for each sheet its size, and its words with their corners."""
    faults = []
    for number, (wide, high, words) in enumerate(boxes, 1):
        for at, (text, left, top, right, bottom) in enumerate(words):
            if left < MARGIN or top < MARGIN or right > wide - MARGIN or bottom > high - MARGIN:
                faults.append(f"sheet {number}: {text!r} is at the edge, or beyond it")
            for other, left_, top_, right_, bottom_ in words[at + 1 :]:
                across, down = min(right, right_) - max(left, left_), min(bottom, bottom_) - max(top, top_)
                least = min((right - left) * (bottom - top), (right_ - left_) * (bottom_ - top_))
                if across > 0 and down > 0 and across * down > COVERED * least:
                    faults.append(f"sheet {number}: {text!r} and {other!r} are printed over each other")
    return faults


def mark_faults(boxes, marks):
    """What the margins say stands in one line each."""
    faults = []
    for number, ((_, _, words), said) in enumerate(zip(boxes, marks), 1):
        for mark in (mark.split() for mark in said if mark):
            runs = (words[at : at + len(mark)] for at in range(len(words) - len(mark) + 1))
            if not any([word[0] for word in run] == mark and max(word[2] for word in run) - min(word[2] for word in run) < 1 for run in runs):
                faults.append(f"sheet {number}: {' '.join(mark)!r} takes more than a line of the margin")
    return faults


def card_faults(size, pieces, sheets):
    """Cards of card stock: each card, and each back, on a sheet of its own, in their order."""
    if size not in ("4x6", "3x5"):
        return []
    cards = [closed(piece["text"]) for piece in pieces if piece["card"]]
    alone = len(cards) <= len(sheets) <= len(cards) + 1 and all(card in closed(sheet) for card, sheet in zip(cards, sheets))
    return [] if alone else [f"{len(cards)} cards are not each on a sheet of their own"]


def boxes_of(pdf):
    told = subprocess.run(["pdftotext", "-bbox", pdf, "-"], check=True, capture_output=True, text=True).stdout
    told = re.sub(r"[\x00-\x08\x0b\x0c\x0e-\x1f]", "", told)
    tree = ElementTree.fromstring(re.sub(r"<!DOCTYPE[^>]*>", "", told))
    tag = lambda name: f"{{http://www.w3.org/1999/xhtml}}{name}"
    corners = lambda word: [float(word.get(key)) for key in ("xMin", "yMin", "xMax", "yMax")]
    return [(float(page.get("width")), float(page.get("height")), [(word.text, *corners(word)) for word in page.iter(tag("word"))]) for page in tree.iter(tag("page"))]


def faults_of(size, pdf, told):
    info = subprocess.run(["pdfinfo", pdf], check=True, capture_output=True, text=True).stdout
    sheets = subprocess.run(["pdftotext", "-raw", pdf, "-"], check=True, capture_output=True, text=True).stdout.split("\f")[:-1]
    pieces, marks = told["pieces"], marks_of(told, sheets)
    long_lines = size in ("4x6", "3x5") and told["form"].split()[0] not in CARRIED
    faults = size_faults(size, info, sheets, marks) + text_faults(pieces, told["stray"], sheets, marks, long_lines)
    boxes = boxes_of(pdf)
    faults += place_faults(boxes) + mark_faults(boxes, marks)
    return faults + (card_faults(size, pieces, sheets) if "car-cards" in told["form"] else [])


def self_test():
    told = "Pages:           2\nPage size:       612 x 792 pts (letter)\n"
    piece = lambda text, kind="tbody", head="Do Car", card=False, groups=(): {"text": text, "kind": kind, "head": head, "card": card, "groups": groups}
    pieces = [piece("Northgate", "h2", ""), piece("PULL CHT 1"), piece("PULL GLN 12")]
    good = ["page 1 of 2 Turn Northgate Do Car PULL CHT 1", "page 2 of 2 Turn Do Car PULL GLN 12"]
    of_group = [*pieces[:2], piece("PULL GLN 12", groups=["mill track at Northgate", "mill track, continued"])]
    if not text_faults(of_group, [], good, marks_of({"page": "page # of %", "marks": ["Turn"]}, good)):
        sys.exit("self-test: a line without the head of its group is not seen")
    below = [*pieces[:2], piece("PULL GLN 12") | {"repeated": ["2. Riverside", "2. Riverside, continued"]}]
    if not text_faults(below, [], good, marks_of({"page": "page # of %", "marks": ["Turn"]}, good)):
        sys.exit("self-test: a line without the heading of its table is not seen")
    repeats = [good[0], good[1].replace("Do Car", "2. Riverside, continued Do Car")]
    if text_faults(below, [], repeats, marks_of({"page": "page # of %", "marks": ["Turn"]}, good)):
        sys.exit("self-test: a heading that is repeated is refused")
    goes_on = [good[0], good[1].replace("PULL", "mill track, continued PULL")]
    if text_faults(of_group, [], goes_on, marks_of({"page": "page # of %", "marks": ["Turn"]}, good)):
        sys.exit("self-test: a group that goes on is refused")
    broken = [
        ["page 1 of 2 Turn Northgate Do Car PULL CHT 1", "page 2 of 2 Do Car PULL GLN 12"],
        ["page 1 of 2 Turn Northgate Do Car PULL CHT 1", "page 2 of 2 Turn PULL GLN 12"],
        ["page 1 of 2 Turn Northgate Do Car PULL CHT 1 PULL", "page 2 of 2 Turn Do Car GLN 12"],
        ["page 1 of 2 Turn Do Car PULL CHT 1 Do Car PULL GLN 12 Northgate", "page 2 of 2 Turn"],
        ["page 1 of 2 Turn Northgate Do Car PULL CHT 1", "page 2 of 2 Turn Do Car PULL GLN 1"],
        ["Turn Northgate Do Car PULL CHT 1", "page 2 of 2 Turn Do Car PULL GLN 12"],
    ]
    marks = marks_of({"page": "page # of %", "marks": ["Turn"]}, good)
    look = lambda sheets, size="letter": size_faults(size, told, sheets, marks) + text_faults(pieces, [], sheets, marks)
    if look(good):
        sys.exit(f"self-test: a sound print is refused: {look(good)}")
    seen = [sheets for sheets in broken if look(sheets)] + [size for size in ("a4", "half") if look(good, size)]
    if len(seen) != len(broken) + 2:
        sys.exit(f"self-test: only {len(seen)} of {len(broken) + 2} broken prints are seen")
    if not text_faults(pieces, ["alone"], good, marks):
        sys.exit("self-test: text outside all pieces is not seen")
    over = ["page 1 of 2 Turn Northgate Do Car PULL CHT 1 PULL", "page 2 of 2 Turn Do Car GLN 12"]
    if text_faults(pieces, [], over, marks, long_lines=True) or not text_faults(pieces, [], [over[0], "page 2 of 2 Turn Do Car LN 12"], marks, long_lines=True):
        sys.exit("self-test: a line that runs on is not told from one that is cut off")
    page = lambda *words: [(612, 792, list(words))]
    if place_faults(page(("a", 20, 20, 30, 30), ("b", 31, 20, 40, 30))):
        sys.exit("self-test: words side by side are refused")
    if not place_faults(page(("a", 600, 20, 615, 30))) or not place_faults(page(("a", 20, 20, 30, 30), ("b", 22, 20, 32, 30))):
        sys.exit("self-test: a word over the edge, or over another, is not seen")
    foot = lambda down: page(("Turn,", 20, 20, 30, 30), ("moves", 31, 20 + down, 40, 30 + down))
    if mark_faults(foot(0), [["Turn, moves"]]) or not mark_faults(foot(9), [["Turn, moves"]]):
        sys.exit("self-test: a line in the margin is not told from two")
    cards = [piece(text, "section", "", True) for text in ("CHT 1", "GLN 12")]
    if card_faults("4x6", cards, ["CHT 1", "GLN 12", "note"]) or not card_faults("4x6", cards, ["CHT 1", "note", "GLN 12"]):
        sys.exit("self-test: cards that are split are not told from cards that are not")
    print(f"printed: self-test saw {len(broken) + 7} broken prints fail")


def jobs_of(layout, work, sizes=SIZES):
    """Every file on whole sheets and on cards, where room is scarce; on the other sizes each form once, the longest of its kind."""
    for size, arguments in [one for one in PRINTS if one[0] in sizes]:
        folder = work / "-".join([size, *(argument.strip("-") for argument in arguments)])
        subprocess.run([os.environ.get("SETOUT", "setout"), "print", layout, "--paper", size, *arguments, "--out", folder], check=True, capture_output=True)
        longest = {}
        for path in sorted(folder.glob("*.html"), key=lambda path: path.stat().st_size):
            form = re.search(r'<body class="(\S+)', path.read_text(encoding="utf-8")).group(1)
            longest[path.name if size in ("letter", "4x6", "3x5") and not arguments else form] = path
        for form, path in longest.items():
            if arguments != ["--duplex"] or form == "car-cards":
                yield size, arguments, path


def main(layout, *sizes):
    with tempfile.TemporaryDirectory() as work:
        jobs = list(jobs_of(layout, Path(work), sizes or SIZES))
        files = [[str(path), str(path.with_suffix(".pdf")), str(path.with_suffix(".json"))] for _, _, path in jobs]
        subprocess.run(["node", HERE / "page" / "print.mjs"], input=json.dumps(files), text=True, check=True)
        failed = 0
        for size, arguments, path in jobs:
            told = json.loads(path.with_suffix(".json").read_text(encoding="utf-8"))
            faults = faults_of(size, path.with_suffix(".pdf"), told)
            failed += bool(faults)
            for fault in faults[:8]:
                print(f"FAILED {path.name} on {size} {' '.join(arguments)}: {fault}")
    print(f"{'FAILED' if failed else 'passed'} printed: {len(jobs)} prints on {len(sizes or SIZES)} sizes of paper, {failed} with faults")
    return bool(failed)


if __name__ == "__main__":
    sys.exit(self_test() if sys.argv[1:] == ["--self-test"] else main(*sys.argv[1:]))
