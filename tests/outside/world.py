"""What the outside programs share: a small sound layout as text, and running the program on a folder."""

import json
import os
import subprocess
import tempfile
from pathlib import Path

ROOT = Path(__file__).parents[2]
PROGRAM = Path(os.environ.get("SETOUT", ROOT / "target" / "release" / "setout"))

LAYOUT = """
[layout]
name = "Outside"
scale = "{scale}"
days = {{ first = 1978-10-02, last = 1978-10-08 }}
car = "44 ft"

[railroad.CHT]
name = "Carrow Harbor Terminal"
home = true
beyond = "away"

[place.yard]
name = "Yard"
railroad = "CHT"

[place.yard.track.out]
use = "staging"
length = "6 cars"
opens = "both"

[place.yard.track.in]
use = "staging"
length = "6 cars"
opens = "both"

[place.yard.track.loop]
use = "runaround"
length = "8 cars"
opens = "both"

[place.mill]
name = "Mill"
railroad = "CHT"

[place.mill.track.dock]
use = "spur"
length = "2 cars"
opens = "west"

{tracks}

[[link]]
between = ["yard", "mill"]
minutes = 3

[industry.mill]
name = "Mill"
place = "mill"
receives.grain = ["dock"]

[gateway.away]
name = "Away"
kind = "fiddle"
takes = "yard/in"
gives = "yard/out"
beyond = ["Millport"]

[commodity.grain]
cars = ["XM"]

[[lane]]
commodity = "grain"
from = "away/Millport"
to = "mill"
carloads = "1 a day"

[job.turn]
railroad = "CHT"
calls = ["yard", "mill", "yard"]
"""

ROSTER = "mark,number,type,home\nCHT,100,XM,away\nCHT,101,XM,away\nCHT,102,XM,away\n"


def check(scale="HO", tracks="", roster=ROSTER):
    """`setout check --as json` on a folder with this in it: exit code and answer."""
    with tempfile.TemporaryDirectory() as folder:
        Path(folder, "layout.toml").write_text(LAYOUT.format(scale=scale, tracks=tracks), encoding="utf-8")
        Path(folder, "cars.csv").write_text(roster, encoding="utf-8")
        done = subprocess.run([PROGRAM, "check", folder, "--as", "json"], capture_output=True, text=True, check=False)
    try:
        return done.returncode, json.loads(done.stdout)
    except json.JSONDecodeError:
        raise SystemExit(f"no JSON from `check`: {done.stdout[:300]!r} {done.stderr[:600]}") from None
