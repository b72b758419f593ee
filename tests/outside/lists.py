"""The lists of plan.json that tell the host what a session comes to, counted anew from its rows and events; replay.py runs them.

Source of every check: docs/plan-format.md, `orders`, `kinds`, `gateways`, `loads` and the `tons` of trains. They are book-keeping: every
count must come out of `before`, `events` and `after`. Rules: 8 no order is lost, 10 what gateways bring and take, 3 what a train weighs.
"""

from collections import Counter


def own_weights(world):
    """The ladings that have a weight of their own; others fill the car."""
    return {lading["id"]: lading["tons"] for lading in world.get("commodities", []) if "tons" in lading}


def orders(plan):
    """Rule 8: every open order stays, gets a car, or ends with a reason; those that stay are handed on."""
    faults = []
    before, after = ({order["id"]: order.get("car") for order in plan[rows].get("orders", [])} for rows in ("before", "after"))
    told = {order["id"]: order for order in plan["orders"]}
    if any(len(plan[rows].get("orders", [])) != len(ids) for rows, ids in (("before", before), ("after", after))):
        faults.append((8, "an order is open twice"))
    if len(told) != len(plan["orders"]):
        faults.append((8, "an order is told of twice"))
    faults += [(8, f"`{lost}` was open, and nothing is said of it") for lost in sorted(before.keys() - told.keys())]
    for order in plan["orders"]:
        if order["id"] not in before and order["due"] != plan["session"]:
            faults.append((8, f"`{order['id']}` came due in {order['due']}, and was not open"))
        if not order["why"]:
            faults.append((8, f"`{order['id']}` has no reason"))
    open_now = {order["id"]: order.get("car") for order in plan["orders"] if order["state"] in ("waiting", "filled")}
    if open_now != after:
        differ = sorted(id for id in open_now.keys() | after.keys() if open_now.get(id, 0) != after.get(id, 0))
        faults.append((8, f"{', '.join(differ)}: open in another way than is handed on"))
    for rows in ("before", "after"):
        due = [told[order["id"]]["due"] for order in plan[rows].get("orders", []) if order["id"] in told]
        if due != sorted(due):
            faults.append((8, f"the orders of `{rows}` are not in the order in which they came due"))
    faults += states(plan)
    serving = Counter(order["car"] for order in plan["orders"] if order["state"] == "filled" and "car" in order)
    return faults + [(8, f"{car} serves {many} orders at once") for car, many in sorted(serving.items()) if many > 1]


def states(plan):
    """Rule 8: what each order is said to have come to is what the events show."""
    faults = []
    before = {order["id"]: order.get("car") for order in plan["before"].get("orders", [])}
    emptied = {event["car"] for event in plan["events"] if event["event"] == "released" and "lading" not in event}
    lifted = {event["car"] for event in plan["events"] if event["event"] == "lifted"}
    found_bad = {event["car"] for event in plan["events"] if event["event"] == "bad order"}
    for order in plan["orders"]:
        had, car, state = before.get(order["id"]), order.get("car"), order["state"]
        if (state == "filled") != ("car" in order) and state in ("filled", "waiting"):
            faults.append((8, f"`{order['id']}` is {state}, with the car {car}"))
        if state == "done" and (car is None or car != had or car not in emptied | lifted):
            faults.append((8, f"`{order['id']}` is done, and {car} was neither unloaded nor lifted"))
        if state in ("filled", "waiting") and had is not None and had != car and had not in found_bad:
            faults.append((8, f"`{order['id']}` loses {had}, which is no bad order"))
    return faults


def kinds(plan):
    """The orders that had no car before tonight, by the kinds of car that will do."""
    faults = []
    before = {order["id"]: order.get("car") for order in plan["before"].get("orders", [])}
    carry = {lading["id"]: lading["cars"] for lading in plan["world"].get("commodities", [])}
    type_of = {car["id"]: car["type"] for car in plan["world"]["cars"]}
    asking = {}
    for order in plan["orders"]:
        if order["state"] in ("filled", "waiting") and (order.get("car") is None or order["car"] != before.get(order["id"])):
            asking.setdefault(tuple(order.get("cars") or carry.get(order["commodity"], [])), []).append(order)
    lines = {tuple(line["kinds"]): line for line in plan.get("kinds", [])}
    for which in sorted(asking.keys() | lines.keys()):
        name, line, orders_of = " or ".join(which), lines.get(which), asking.get(which, [])
        if line is None or line["ordered"] != len(orders_of):
            faults.append((8, f"{name}: {len(orders_of)} orders ask for it, not {line and line['ordered']}"))
            continue
        filled = [order for order in orders_of if order["state"] == "filled"]
        unfilled = [order for order in orders_of if order["state"] == "waiting" and order["why"] in line.get("why", [])]
        counted = len(filled), len(orders_of) - len(filled) - len(unfilled), len(unfilled)
        stated = line["filled"], line["held"], line["unfilled"]
        if counted != stated:
            faults.append((8, f"{name}: filled, held and unfilled are {counted}, not {stated}"))
        if sorted(line.get("why", [])) != sorted({order["why"] for order in unfilled}):
            faults.append((8, f"{name}: the reasons are not those of its orders, each once"))
        for order in filled:
            if type_of[order["car"]] not in which:
                faults.append((6, f"`{order['id']}` wants {name}, and gets {order['car']}, a {type_of[order['car']]}"))
    return faults


def gateways(plan):
    """Rule 10: what came and went is what the events say; what stands is what the rows say."""
    faults = []
    moved = Counter((event["gateway"], event["event"]) for event in plan["events"] if event["event"] in ("placed", "lifted"))
    there = {gateway["id"]: gateway for gateway in plan["world"].get("gateways", [])}
    told = [line["gateway"] for line in plan.get("gateways", [])]
    if sorted(told) != sorted(there):
        faults.append((10, f"the gateways are {sorted(there)}, and {sorted(told)} are told of"))
    for line in plan.get("gateways", []):
        name = line["gateway"]
        if name not in there:
            continue
        counts = moved[name, "placed"], moved[name, "lifted"]
        if (line["received"], line["delivered"]) != counts:
            faults.append((10, f"{name} brings and takes {counts}, not {line['received'], line['delivered']}"))
        if line["net"] != line["received_in_all"] - line["delivered_in_all"]:
            faults.append((10, f"{name}: what came less what went is not {line['net']}"))
        if line["received"] > there[name].get("limit", line["received"]):
            faults.append((10, f"{name} gives {line['received']} cars, more than {there[name]['limit']}"))
        tracks = {*there[name]["takes"], *there[name]["gives"]}
        standing = [entry["car"] for track in sorted(tracks) for entry in plan["after"]["tracks"].get(track, [])]
        oldest = line.get("oldest", {}).get("car")
        if line["standing"] != len(standing) or (oldest not in standing if standing else oldest is not None):
            faults.append((10, f"{name} has {len(standing)} cars standing, not {line['standing']}, or {oldest} is none of them"))
    return faults


def loads(plan):
    """The loads that are put in and taken out by hand: what the first events change in cars whose loads lift out."""
    lifts_out = {car["id"] for car in plan["world"]["cars"] if car.get("load") == "lifts out"}
    at, lading = {}, {}
    for track, row in plan["before"]["tracks"].items():
        at.update((entry["car"], track) for entry in row)
        lading.update((entry["car"], entry["lading"]) for entry in row if "lading" in entry)
    counted = []
    for event in plan["events"]:
        car = event.get("car")
        if event["event"] not in ("released", "placed", "lifted") or car not in lifts_out:
            continue
        track, now = event.get("track") or at.get(car), event.get("lading")
        what = now or (lading.get(car) if event["event"] != "placed" else None)
        if what:
            counted.append((car, what, now is not None, track))
        at[car] = track
        lading[car] = now
    stated = [(line["car"], line["lading"], line.get("put_in", False), line["track"]) for line in plan.get("loads", [])]
    if sorted(stated) == sorted(counted):
        return []
    differ = sorted((Counter(stated) - Counter(counted)) + (Counter(counted) - Counter(stated)))
    return [(6, f"loads to put in and take out: {differ} are told of and not changed, or the other way round")]


def check(plan):
    return orders(plan) + kinds(plan) + gateways(plan) + loads(plan)


def follows(earlier, later):
    """What is counted in all goes on from session to session, and so do the open orders."""
    faults = []
    number = later["session"]
    if earlier["after"].get("orders", []) != later["before"].get("orders", []):
        faults.append((8, f"session {number} begins with other open orders than the last one left"))
    counted = {line["gateway"]: line for line in earlier.get("gateways", [])}
    for line in later.get("gateways", []):
        last = counted.get(line["gateway"])
        for what in ("received", "delivered"):
            if last and line[f"{what}_in_all"] != last[f"{what}_in_all"] + line[what]:
                faults.append((10, f"session {number}: {line['gateway']} has {what} {line[f'{what}_in_all']} in all, not so many more"))
    return faults + oldest(earlier, later)


def oldest(earlier, later):
    """The car that is on a gateway's tracks longest was there before those that came since."""
    faults = []
    for gateway in later["world"].get("gateways", []):
        tracks = {*gateway["takes"], *gateway["gives"]}
        was, stands = ({entry["car"] for track in tracks for entry in plan["after"]["tracks"].get(track, [])} for plan in (earlier, later))
        moved = {event["car"] for event in later["events"] if event["event"] in ("placed", "lifted")}
        line = next((line for line in later.get("gateways", []) if line["gateway"] == gateway["id"]), {})
        known = {known["gateway"]: known.get("oldest") for known in earlier.get("gateways", [])}.get(gateway["id"])
        told, stayed = line.get("oldest"), (was & stands) - moved
        if not told:
            continue
        if stayed and (told["car"] not in stayed or told["since"] >= later["session"]):
            faults.append((10, f"session {later['session']}: {told['car']} is not longest at {gateway['id']}: {sorted(stayed)[:3]} stayed"))
        if known and known["car"] in stayed and told != known:
            faults.append((10, f"session {later['session']}: {known} still stands at {gateway['id']}, and {told} is told of"))
        if not stayed and told["since"] != later["session"]:
            faults.append((10, f"session {later['session']}: all cars of {gateway['id']} came in it, and {told} is told of"))
    return faults
