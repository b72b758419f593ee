"""The ways over the links, found again by networkx.

Source: Dijkstra's algorithm as networkx implements it, on the links that `cargo run --example ways -- FOLDER` prints, and on
the links as they stand in the folder's own TOML, read by Python's tomllib. A link that does not take the size in question
is left out of the graph (docs/layout.md: `max_car`, `max_height`, `max_weight`).

usage: ways.py WAYS.json FOLDER
       ways.py --self-test
"""

import copy
import json
import sys
import tomllib
from pathlib import Path

import networkx


def takes(limits, size):
    for limit, measure in (("car", "length"), ("height", "height"), ("weight", "weight")):
        if limits.get(limit) is not None and size[measure] is not None and size[measure] > limits[limit]:
            return False
    return True


def graph(answer, size):
    net = networkx.MultiGraph()
    net.add_nodes_from(answer["places"])
    for link in answer["links"]:
        if takes(link["limits"], size):
            net.add_edge(link["west"], link["east"], seconds=link["seconds"])
    return net


def compare(answer):
    faults, compared = [], 0
    for size in answer["profiles"]:
        net = graph(answer, size)
        costs = dict(networkx.all_pairs_dijkstra_path_length(net, weight="seconds"))
        what = {key: size[key] for key in ("length", "height", "weight")}
        seen = set()
        for way in size["ways"]:
            compared += 1
            seen.add((way["from"], way["to"]))
            best = costs[way["from"]].get(way["to"])
            if way["seconds"] != best:
                faults.append(f"{way['from']} to {way['to']} for {what}: {way['seconds']} s, networkx {best} s")
            elif best is not None and not walked(net, way):
                faults.append(f"{way['from']} to {way['to']} for {what}: the way {way['over']} does not cost {best} s")
        if len(seen) != len(answer["places"]) ** 2:
            faults.append(f"only {len(seen)} pairs of {len(answer['places'])} places for {what}")
    return faults, compared


def walked(net, way):
    """Whether the places named are joined one by one, and cost together what is said."""
    over, seconds = way["over"], 0
    if over[0] != way["from"] or over[-1] != way["to"]:
        return False
    for one, other in zip(over, over[1:]):
        if not net.has_edge(one, other):
            return False
        seconds += min(edge["seconds"] for edge in net[one][other].values())
    return seconds == way["seconds"]


def described(folder):
    """The links of the description that are there on the first day: both ends and seconds."""
    tables = {}
    for path in sorted(Path(folder).rglob("*.toml")):
        if "ledger" not in path.parts and "forms" not in path.parts:
            content = tomllib.loads(path.read_text(encoding="utf-8"))
            for link in content.get("link", []):
                tables.setdefault("link", []).append(link)
            for name, place in content.get("place", {}).items():
                tables.setdefault("place", {}).setdefault(name, {}).update(place)
            tables.update({key: content[key] for key in ("layout",) if key in content})
    first = tables["layout"]["days"]["first"]
    there = lambda thing: (
        "state" not in thing and str(thing.get("since", first)) <= str(first) <= str(thing.get("until", first))
    )
    return sorted(
        (*link["between"], link["minutes"] * 60)
        for link in tables.get("link", [])
        if there(link) and all(there(tables["place"][end]) for end in link["between"])
    )


def compare_links(answer, folder):
    places = set(answer["places"])
    printed = sorted(
        (link["west"], link["east"], link["seconds"])
        for link in answer["links"]
        if {link["west"], link["east"]} <= places
    )
    wanted = described(folder)
    return [] if printed == wanted else [f"links {sorted(set(printed) ^ set(wanted))} differ from the description"]


EXAMPLE = {
    "places": ["a", "b", "c"],
    "links": [
        {"west": "a", "east": "b", "seconds": 60, "limits": {"car": 600}},
        {"west": "b", "east": "c", "seconds": 60, "limits": {}},
        {"west": "a", "east": "c", "seconds": 180, "limits": {}},
    ],
    "profiles": [],
}


def self_test():
    cells = lambda rows: [
        {"from": one, "to": other, "seconds": seconds, "over": over.split()} for one, other, seconds, over in rows
    ]
    short = cells([
        ("a", "a", 0, "a"), ("a", "b", 60, "a b"), ("a", "c", 120, "a b c"), ("b", "a", 60, "b a"), ("b", "b", 0, "b"),
        ("b", "c", 60, "b c"), ("c", "a", 120, "c b a"), ("c", "b", 60, "c b"), ("c", "c", 0, "c"),
    ])
    good = EXAMPLE | {"profiles": [{"length": 600, "height": None, "weight": 0, "ways": short}]}
    if compare(good)[0]:
        sys.exit(f"self-test: a sound answer is refused: {compare(good)[0]}")
    dearer, longer, fewer, round_about = (copy.deepcopy(good) for _ in range(4))
    dearer["profiles"][0]["ways"][2]["seconds"] = 180
    longer["profiles"][0]["length"] = 601
    fewer["profiles"][0]["ways"].pop()
    round_about["profiles"][0]["ways"][2]["over"] = ["a", "c"]
    for broken in (dearer, longer, fewer, round_about):
        if not compare(broken)[0]:
            sys.exit("self-test: a wrong way was not seen")
    print("ways: self-test saw 4 wrong answers fail")


def main(path, folder):
    answer = json.loads(Path(path).read_text(encoding="utf-8"))
    faults, compared = compare(answer)
    faults += compare_links(answer, folder)
    for fault in faults[:20]:
        print(f"FAILED {folder}: {fault}")
    if not faults:
        print(f"passed ways of {folder}: {compared} for {len(answer['profiles'])} sizes")
    return bool(faults)


if __name__ == "__main__":
    sys.exit(self_test() if sys.argv[1:] == ["--self-test"] else main(*sys.argv[1:]))
