"""The paper: every page is HTML without one parse error, keeps to itself, and says what its text says.

Sources: the HTML standard, by html5lib in its strict mode; the rule that text and page are laid out from one sheet, text on
80 columns (DEVELOPERS.md, "Paper").

usage: pages.py PAPER-FOLDER ...
       pages.py --self-test
"""

import re
import sys
from pathlib import Path
from unicodedata import east_asian_width

import html5lib
from html5lib.html5parser import ParseError

CAR = re.compile(r"\b[A-Z]{2,4} \d{1,6}\b|\b\d\d \d\d \d{4} \d{3}-\d\b")


def page_faults(page, text):
    faults = []
    try:
        tree = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(page)
    except ParseError as problem:
        return [f"does not parse: {problem}"]
    for element in tree.iter():
        for attribute in ("src", "href"):
            value = element.get(attribute)
            if value is not None and not value.startswith(("#", "data:")):
                faults.append(f"needs {value} from elsewhere")
    said = " ".join(" ".join(tree.find("body").itertext()).split())
    missing = set(CAR.findall(" ".join(text.split()))) ^ set(CAR.findall(said))
    if missing:
        faults.append(f"text and page do not name the same cars: {sorted(missing)[:5]}")
    wide = [line for line in text.splitlines() if sum(2 if east_asian_width(sign) in "WF" else 1 for sign in line) > 80]
    if wide:
        faults.append(f"a line of text is wider than 80 columns: {wide[0]!r}")
    return faults


def self_test():
    good = "<!DOCTYPE html><html><head><title>x</title></head><body><p>CHT 1234</p></body></html>"
    broken = [
        (good.replace("</p>", "</div>"), "CHT 1234"),
        (good.replace("<!DOCTYPE html>", ""), "CHT 1234"),
        (good.replace("<p>", "<p id=a id=b>"), "CHT 1234"),
        (good.replace("<p>", '<p><img src="logo.png" alt="">'), "CHT 1234"),
        (good, "CHT 1235"),
        (good, "CHT 1234" + " " * 80 + "."),
    ]
    if page_faults(good, "CHT 1234"):
        sys.exit("self-test: a sound page is refused")
    for page, text in broken:
        if not page_faults(page, text):
            sys.exit(f"self-test: not seen as broken: {page} {text}")
    print(f"pages: self-test saw {len(broken)} broken pages fail")


def main(folders):
    failed = pages = 0
    for folder in map(Path, folders):
        found = sorted(folder.glob("*.html"))
        if not found:
            failed += 1
            print(f"FAILED {folder}: no page")
        for path in found:
            pages += 1
            text = path.with_suffix(".txt")
            faults = page_faults(path.read_text(encoding="utf-8"), text.read_text(encoding="utf-8"))
            failed += bool(faults)
            for fault in faults:
                print(f"FAILED {path}: {fault}")
    print(f"{'FAILED' if failed else 'passed'} pages: {pages} pages, {failed} with faults")
    return bool(failed)


if __name__ == "__main__":
    sys.exit(self_test() if sys.argv[1:] == ["--self-test"] else main(sys.argv[1:]))
