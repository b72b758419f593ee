"""Rosters from spreadsheets: the cars that setout reads are those that pandas and openpyxl read, and what it writes is CSV.

Sources: pandas for CSV in every dialect and encoding, and for ODS (written and read by odfpy); openpyxl for XLSX; Python's csv
for the files that setout writes. The dialects are those of RFC 4180 and of common spreadsheets.

usage: roster.py [--self-test]
"""

import csv
import datetime
import io
import random
import subprocess
import sys
import tempfile
from pathlib import Path

import openpyxl
import pandas

from world import LAYOUT, PROGRAM

# Our key, the name a host gives the column, and whether a workbook keeps it as a number.
COLUMNS = [
    ("note", "Remarks", False), ("number", "No.", True), ("mark", "Reporting Mark", False), ("type", "Kind of car", False),
    ("length", "Length (ft)", True), ("light", "Tare", True), ("color", "Colour", False), ("years", "Era", False),
    ("visits", "Rate", False), ("bad_order", "B/O", False), ("load", "Load", False),
]
NOTES = ["", "runs badly", "grün, fährt schlecht", 'says "hello"', "=SUM(A1)", "+ chains", "- poor runner", "1/2", "a;b\tc", "007",
         "@noon", "12 %", "café", "œuvre", "line one\nline two", "true", "1E5"]
YEARS = ["", "1962-1985", "1962-", "-1980", "1971-1979"]
KINDS = [("XM", 44.5), ("LO", 42.0), ("T", 51.25), ("HM", 36.0), ("FM", 57.0)]


def made(seed):
    """Cars as a host has them: what every key says, as text, nothing where it says nothing."""
    draw = random.Random(seed)
    numbers = draw.sample(range(1, 999999), 40)
    cars = []
    for number in numbers:
        kind, length = draw.choice(KINDS)
        cars.append({
            "mark": draw.choice(["CHT", "GLN", "QVLX"]), "number": str(number), "type": kind,
            "length": draw.choice(["", f"{length:g}"]), "light": draw.choice(["", "23", "31"]),
            "color": draw.choice(["", "red", "blå", "black, white herald"]), "years": draw.choice(YEARS),
            "visits": draw.choice(["", "1 in 6", "never"]), "bad_order": draw.choice(["", "yes"]),
            "load": draw.choice(["", "hidden", "fixed"]), "note": draw.choice(NOTES),
        })
    # A number of the International Union of Railways, which needs no mark and is no number to a workbook.
    cars[5] |= {"mark": "", "number": "21 81 2471 217-3"}
    return cars


def as_roster(cars):
    """What a roster says of them: lengths with their unit, and nothing of what is empty."""
    rows = []
    for car in cars:
        said = {key: words.strip() for key, words in car.items() if words.strip()}
        if "length" in said:
            said["length"] = f"{float(said['length']):g} ft"
        rows.append(said)
    figures = lambda car: int("".join(sign for sign in car["number"] if sign.isdigit()))
    return sorted(rows, key=lambda car: (car.get("mark", ""), figures(car)))


def write_csv(cars, path, separator, encoding, ends, comma):
    text = io.StringIO()
    writer = csv.writer(text, delimiter=separator, lineterminator=ends)
    writer.writerow([name for _, name, _ in COLUMNS])
    for place, car in enumerate(cars):
        decimal = lambda key: car[key].replace(".", ",") if comma and key == "length" else car[key]
        writer.writerow([decimal(key) for key, _, _ in COLUMNS])
        if place % 7 == 3:
            writer.writerow([""] * len(COLUMNS))
    path.write_bytes(text.getvalue().encode(encoding))


def read_csv(path, separator, encoding, comma):
    frame = pandas.read_csv(path, sep=separator, encoding=encoding, dtype=str, keep_default_na=False, skip_blank_lines=True)
    rows = [{key: row[name] for key, name, _ in COLUMNS} for _, row in frame.iterrows()]
    rows = [row for row in rows if any(row.values())]
    for row in rows:
        row["length"] = row["length"].replace(",", ".") if comma else row["length"]
    return rows


def cell(words, number):
    return None if words == "" else (float(words) if "." in words else int(words)) if number and " " not in words else words


def write_xlsx(cars, path):
    book = openpyxl.Workbook()
    book.active.title = "Read me"
    book.active["A1"] = "These are my cars."
    sheet = book.create_sheet("Cars")
    sheet["B2"] = "All cars, 1978"
    for column, (key, name, number) in enumerate(COLUMNS, start=2):
        sheet.cell(4, column, name)
        for row, car in enumerate(cars, start=5):
            one = sheet.cell(row, column, cell(car[key], number))
            if not number:
                # Text stays text, as a host who knows spreadsheets formats it.
                one.data_type, one.number_format = ("s" if car[key] else "n"), "@"
    book.save(path)


def read_xlsx(path):
    rows = list(openpyxl.load_workbook(path, data_only=True)["Cars"].iter_rows(min_row=5, min_col=2, values_only=True))
    return [{key: "" if value is None else str(value) for (key, _, _), value in zip(COLUMNS, row)} for row in rows]


def write_ods(cars, path):
    frame = pandas.DataFrame({name: [cell(car[key], number) for car in cars] for key, name, number in COLUMNS}, dtype=object)
    frame.to_excel(path, engine="odf", sheet_name="Cars", index=False)


def read_ods(path):
    frame = pandas.read_excel(path, engine="odf", dtype=object, keep_default_na=False)
    text = lambda value: f"{value:g}" if isinstance(value, float) else str(value)
    return [{key: text(row[name]) for key, name, _ in COLUMNS} for _, row in frame.iterrows()]


def setout(*arguments, fail=False):
    ran = subprocess.run([str(PROGRAM), *map(str, arguments)], capture_output=True, check=False)
    if (ran.returncode != 0) != fail:
        raise SystemExit(f"FAILED roster: setout {' '.join(map(str, arguments))}: {ran.stderr.decode()}")
    return ran


def folder(work, name):
    made_here = work / name
    made_here.mkdir()
    layout = LAYOUT.format(scale="HO", tracks="") + '\n[railroad.GLN]\nname = "Great Lakes Northern"\nbeyond = "away"\n'
    (made_here / "layout.toml").write_text(layout, encoding="utf-8")
    return made_here


def through(path, at, separator="comma"):
    """A file taken in as the whole roster and brought out again, read by Python's csv."""
    setout("roster", "in", path, at, "--only", "--write")
    written = setout("roster", "out", at, "--separator", separator).stdout.decode("utf-8-sig")
    sign = {"comma": ",", "semicolon": ";", "tab": "\t"}[separator]
    rows = list(csv.DictReader(io.StringIO(written, newline=""), delimiter=sign, strict=True))
    return [{key: words.strip() for key, words in row.items() if words.strip()} for row in rows], rows, written


def guessed(words):
    """What a program that guesses makes of one value: pandas knows numbers, truths, and days."""
    frame = pandas.read_csv(io.StringIO("x\n\"" + words.replace('"', '""') + "\"\n"), keep_default_na=False)
    return frame["x"].iloc[0]


def differences(expected, found):
    if len(expected) != len(found):
        return [f"{len(expected)} cars, {len(found)} read"]
    return [f"{one} is read as {other}" for one, other in zip(expected, found) if one != other]


def spoiled(work):
    """What a spreadsheet made of a number is refused, with its place."""
    for name, value, what in [("day", datetime.date(1978, 1, 2), "changed-by-spreadsheet"), ("failed", "#REF!", "changed-by-spreadsheet")]:
        book = openpyxl.Workbook()
        book.active.append(["mark", "number", "type", "note"])
        book.active.append(["CHT", 7, "XM", value])
        if name == "failed":
            book.active["D2"].data_type = "e"
        book.save(work / f"{name}.xlsx")
        at = folder(work, f"spoiled-{name}")
        ran = setout("roster", "in", work / f"{name}.xlsx", at, fail=True)
        if what not in ran.stderr.decode() or f"{name}.xlsx, sheet Sheet:2" not in ran.stderr.decode():
            yield f"{name}: {ran.stderr.decode()}"


def broken(work, paths):
    """A file that was cut short or changed in places is read or refused, and never stops the program."""
    draw = random.Random(17)
    at = folder(work, "broken")
    for path in paths:
        for number in range(12):
            held = bytearray(path.read_bytes())
            if number % 3 == 0:
                held = held[: draw.randrange(4, len(held))]
            for _ in range(draw.randrange(1, 30) if number % 3 else 0):
                held[draw.randrange(4, len(held))] = draw.randrange(256)
            copy = work / f"broken{path.suffix}"
            copy.write_bytes(bytes(held))
            ran = subprocess.run([str(PROGRAM), "roster", "in", str(copy), str(at)], capture_output=True, check=False)
            if ran.returncode not in (0, 2) or b"panicked" in ran.stderr:
                yield f"{path.name}, broken: exit {ran.returncode}: {ran.stderr.decode(errors='replace')[:300]}"


def main():
    faults, tried = [], 0
    with tempfile.TemporaryDirectory() as work:
        work = Path(work)
        dialects = [(sign, encoding, ends, comma) for sign in ",;\t" for encoding in ("utf-8", "utf-8-sig", "utf-16", "cp1252")
                    for ends, comma in (("\n", False), ("\r\n", True))]
        jobs = [(f"{number}.csv", ("csv", *dialect)) for number, dialect in enumerate(dialects)]
        jobs += [("book.xlsx", ("xlsx",)), ("book.ods", ("ods",))]
        for seed, (name, (kind, *dialect)) in enumerate(jobs):
            path, cars = work / name, made(seed)
            if kind == "csv":
                sign, encoding, ends, comma = dialect
                write_csv(cars, path, sign, encoding, ends, comma)
                read = read_csv(path, sign, encoding, comma)
            elif kind == "xlsx":
                write_xlsx(cars, path)
                read = read_xlsx(path)
            else:
                write_ods(cars, path)
                read = read_ods(path)
            expected = as_roster(read)
            if differences(as_roster(cars), expected):
                faults.append(f"{name}: the other library reads other cars than were written: {differences(as_roster(cars), expected)[:2]}")
            out = ["comma", "semicolon", "tab"][seed % 3]
            found, rows, written = through(path, folder(work, f"at-{seed}"), out)
            faults += [f"{name} {dialect}: {difference}" for difference in differences(expected, found)[:3]]
            # A program that guesses what values are must take none of these for a number, a day or a truth.
            for words in sorted({row.get(key, "") for row in rows for key in ("note", "years")} - {""}):
                if not isinstance(guessed(words), str):
                    faults.append(f"{name}: {words!r} is spoilt by a program that guesses")
                if words[0] in "=+-@":
                    faults.append(f"{name}: {words!r} is a sum to a spreadsheet")
            if "\n" not in written or not written.startswith("mark"):
                faults.append(f"{name}: what is written begins with {written[:20]!r}")
            tried += len(cars)
        faults += list(spoiled(work))
        faults += list(broken(work, [work / "0.csv", work / "7.csv", work / "book.xlsx", work / "book.ods"]))
    for fault in faults:
        print(f"FAILED roster: {fault}")
    print(f"{'FAILED' if faults else 'passed'} roster: {len(jobs)} files, {tried} cars")
    return bool(faults)


def self_test():
    cars = as_roster(made(1))
    changed = [dict(car) for car in cars]
    changed[3]["note"] = "otherwise"
    if differences(cars, cars) or not differences(cars, changed) or not differences(cars, cars[1:]):
        sys.exit("self-test: a difference is not seen")
    with tempfile.TemporaryDirectory() as work:
        path = Path(work) / "cars.csv"
        write_csv(made(2), path, ";", "utf-16", "\r\n", True)
        if differences(as_roster(made(2)), as_roster(read_csv(path, ";", "utf-16", True))):
            sys.exit("self-test: what is written is not what is read")
        if not differences(as_roster(made(2)), as_roster(read_csv(path, ";", "utf-16", True)[:-1])):
            sys.exit("self-test: a lost car is not seen")
    print("roster: self-test saw 3 rosters that differ")


if __name__ == "__main__":
    sys.exit(self_test() if sys.argv[1:] == ["--self-test"] else main())
