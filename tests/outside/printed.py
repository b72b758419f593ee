"""The printed page: a browser prints every form, and the sheets of paper are measured and read.

Sources: sizes of paper by ISO 216 (A4: 210 x 297 mm) and ANSI/ASME Y14.1 (A: 8.5 x 11 in); cards of 4 x 6 and 3 x 5 in (common
practice, no source). Chromium prints, pdfinfo and pdftotext (poppler) measure and read.

usage: printed.py LAYOUT-FOLDER       (a session must be planned in it)
       printed.py --self-test
"""

import html
import os
import re
import subprocess
import sys
import tempfile
from pathlib import Path

CAR = re.compile(r"\b[A-Z]{2,4} \d{1,6}\b|\b\d\d \d\d \d{4} \d{3}-\d\b")
# Points of 1/72 in: width, height.
SIZES = {"letter": (612, 792), "a4": (595.28, 841.89), "half": (396, 612), "4x6": (432, 288), "3x5": (360, 216)}
# The forms that people carry are printed on every size, the others on whole sheets.
CARRIED = ("switch-list", "car-cards")


def text_of(page):
    body = page[page.index("<body") :]
    return " ".join(html.unescape(re.sub(r"<[^>]*>", lambda tag: "" if tag.group().startswith(("<b", "</b>")) else " ", body)).split())


def faults_of(size, told, sheets, page):
    """What is wrong with a print: told by pdfinfo, its sheets read by pdftotext, the page it was printed from."""
    faults = []
    pages = int(re.search(r"^Pages:\s+(\d+)", told, re.M).group(1))
    wide, high = map(float, re.search(r"^Page size:\s+([\d.]+) x ([\d.]+)", told, re.M).groups())
    expected = SIZES[size]
    if abs(wide - expected[0]) > 1 or abs(high - expected[1]) > 1:
        faults.append(f"{wide} x {high} pt instead of {expected}")
    for number, sheet in enumerate(sheets, 1):
        if f"page {number} of {pages}" not in " ".join(sheet.split()):
            faults.append(f"sheet {number} does not say page {number} of {pages}")
    printed = [CAR.findall(" ".join(sheet.split())) for sheet in sheets]
    there, wanted = sorted(sum(printed, [])), sorted(CAR.findall(text_of(page)))
    if set(there) != set(wanted):
        faults.append(f"other cars than the page: {sorted(set(there) ^ set(wanted))[:5]}")
    elif len(there) < len(wanted):
        faults.append(f"{len(wanted)} cars on the page, {len(there)} in print")
    return faults


def card_faults(sheets, page):
    """Cards of card stock: each card, and each back, on a sheet of its own, in their order."""
    cards = [CAR.findall(text_of("<body>" + card))[:1] for card in page.split('<section class="card">')[1:]]
    printed = [CAR.findall(" ".join(sheet.split()))[:1] for sheet in sheets]
    return [] if cards == printed[: len(cards)] and len(printed) - len(cards) <= 1 else [f"{len(cards)} cards are not each on a sheet of their own"]


def print_page(path, folder):
    pdf = folder / (path.stem + ".pdf")
    command = ["chromium", "--headless", "--no-sandbox", "--disable-gpu", "--no-pdf-header-footer", f"--user-data-dir={folder}/profile"]
    subprocess.run([*command, f"--print-to-pdf={pdf}", path.as_uri()], check=True, capture_output=True, timeout=120)
    told = subprocess.run(["pdfinfo", pdf], check=True, capture_output=True, text=True).stdout
    read = subprocess.run(["pdftotext", "-layout", pdf, "-"], check=True, capture_output=True, text=True).stdout
    return told, read.split("\f")[:-1]


def self_test():
    page = "<body><p>CHT <b>1</b> GLN 12</p>"
    told = "Pages:           1\nPage size:       612 x 792 pts (letter)\n"
    good = ["CHT 1 GLN 12 page 1 of 1"]
    broken = [("a4", told, good), ("letter", told, ["CHT 1 page 1 of 1"]), ("letter", told, ["CHT 1 GLN 12"])]
    if faults_of("letter", told, good, page):
        sys.exit("self-test: a sound print is refused")
    for size, said, sheets in broken:
        if not faults_of(size, said, sheets, page):
            sys.exit(f"self-test: not seen as broken: {size} {sheets}")
    cards = '<body><section class="card">CHT 1</section><section class="card">GLN 12</section>'
    if card_faults(["CHT 1", "GLN 12", "note"], cards) or not card_faults(["CHT 1", "note", "GLN 12"], cards):
        sys.exit("self-test: cards that are split are not told from cards that are not")
    print(f"printed: self-test saw {len(broken) + 1} broken prints fail")


def main(layout):
    setout = os.environ.get("SETOUT", "setout")
    prints = failed = 0
    with tempfile.TemporaryDirectory() as work:
        for size in SIZES:
            folder = Path(work) / size
            subprocess.run([setout, "print", layout, "--paper", size, "--out", folder], check=True, capture_output=True)
            seen = set()
            for path in sorted(folder.glob("*.html")):
                page = path.read_text(encoding="utf-8")
                form = re.search(r'<body class="(\S+)', page).group(1)
                if form in seen or (size not in ("letter", "a4") and form not in CARRIED):
                    continue
                seen.add(form)
                told, sheets = print_page(path, folder)
                faults = faults_of(size, told, sheets, page)
                if form == "car-cards" and size in ("4x6", "3x5"):
                    faults += card_faults(sheets, page)
                prints += 1
                failed += bool(faults)
                for fault in faults:
                    print(f"FAILED {path.name} on {size}: {fault}")
    print(f"{'FAILED' if failed else 'passed'} printed: {prints} prints on {len(SIZES)} sizes of paper, {failed} with faults")
    return bool(failed)


if __name__ == "__main__":
    sys.exit(self_test() if sys.argv[1:] == ["--self-test"] else main(sys.argv[1]))
