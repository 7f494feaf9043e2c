"""One night through OR-Tools CP-SAT (PyPI `ortools`), one worker: JSON in, JSON out.

The loads are those of the plan given beside it (CP-SAT is spared that choice); everything else is a decision. Walking
is a choice of order for each two phases of one person, which leaves time for the walk between.
`hint`: the plan's begins, people and bays are given as a hint.
"""
import json
import sys
import time

from ortools.sat.python import cp_model

given = json.load(sys.stdin)
night, plan = given["problem"], given["plan"]
begun = time.perf_counter()
horizon = given["horizon"]
model = cp_model.CpModel()
hinted = {(one["task"], one["phase"]): one for one in plan["assignments"]} if given["hint"] else {}
crew = night["people"]
walks = night["walk_s"]


def walk(start, end):
    return walks[start][end] if walks else 0


def paced(person, hands):
    percent = crew[person]["pace_percent"] or 100
    return (hands * percent + 99) // 100


starts, ends, doing = {}, {}, {}
for task, what in enumerate(night["tasks"]):
    for phase, part in enumerate(what["phases"]):
        key = task, phase
        starts[key] = model.new_int_var(what["release_s"], horizon, "")
        ends[key] = model.new_int_var(0, horizon, "")
        if part["people"] == 0:
            model.add(ends[key] == starts[key] + part["hands_s"] + part["wait_s"])
        else:
            able = [p for p in range(len(crew)) if part["skill"] is None or part["skill"] in crew[p]["skills"]]
            doing[key] = {p: model.new_bool_var("") for p in able}
            model.add(sum(doing[key].values()) == part["people"])
            needs = [paced(p, part["hands_s"]) + part["wait_s"] for p in range(len(crew))]
            length = model.new_int_var(0, max(needs), "")
            model.add(ends[key] == starts[key] + length)
            if part["people"] == 1:
                model.add(length == sum(needs[p] * does for p, does in doing[key].items()))
            else:
                model.add_max_equality(length, [needs[p] * does for p, does in doing[key].items()])
            for p, does in doing[key].items():
                model.add(starts[key] >= crew[p]["from_s"]).only_enforce_if(does)
                if crew[p]["to_s"] is not None:
                    model.add(ends[key] <= crew[p]["to_s"]).only_enforce_if(does)
        if phase > 0:
            model.add(starts[key] >= ends[task, phase - 1])
            if part["late_s"] is not None:
                model.add(starts[key] <= ends[task, phase - 1] + part["late_s"])
            if part["same_people"] and part["people"] > 0:
                before = [(task, other) for other in range(phase) if (task, other) in doing]
                if before:
                    for p in range(len(crew)):
                        model.add(doing[key].get(p, 0) == doing[before[-1]].get(p, 0))
        if key in hinted:
            model.add_hint(starts[key], hinted[key]["start_s"])
            model.add_hint(ends[key], hinted[key]["end_s"])
            for p, does in doing.get(key, {}).items():
                model.add_hint(does, p in hinted[key]["people"])


def bar(begin, end, there):
    """An interval from begin to end that is there or not."""
    size = model.new_int_var(0, horizon, "")
    return model.new_optional_interval_var(begin, size, end, there, "")


def place_of(key):
    return night["tasks"][key[0]]["phases"][key[1]]["place"]


def last(task):
    return task, len(night["tasks"][task]["phases"]) - 1


def instant(point):
    return starts[point["task"], 0] if point["edge"] == "begin" else ends[last(point["task"])]


for lag in night["lags"]:
    gap = instant(lag["to"]) - instant(lag["from"])
    model.add(gap >= lag["min_s"])
    if lag["max_s"] is not None:
        model.add(gap <= lag["max_s"])
for task, what in enumerate(night["tasks"]):
    for due in (what["due_s"], night["deadline_s"]):
        if due is not None:
            model.add(ends[last(task)] <= due)
# People: nothing at once, and between any two phases of one person the walk from one to the other, whichever is first.
# (A circuit over what each does, with the walks on its arcs, found no plan in 30 s without a hint; this does.)
keys = list(doing)
for p, person in enumerate(crew):
    own = [key for key in keys if p in doing[key]]
    for key in own:
        if person["starts_at"] is not None:
            there = person["from_s"] + walk(person["starts_at"], place_of(key))
            model.add(starts[key] >= there).only_enforce_if(doing[key][p])
    model.add_no_overlap([bar(starts[key], ends[key], doing[key][p]) for key in own])
for i, late in enumerate(keys):
    for early in keys[:i]:
        away = walk(place_of(early), place_of(late))
        both = [p for p in doing[late] if p in doing[early]]
        if away == 0 or not both:
            continue
        if early[0] == late[0]:  # phases of one task follow each other anyway
            for p in both:
                model.add(starts[late] >= ends[early] + away).only_enforce_if(doing[late][p], doing[early][p])
            continue
        ahead = model.new_bool_var("")
        for p in both:
            share = [doing[late][p], doing[early][p]]
            model.add(starts[late] >= ends[early] + away).only_enforce_if(ahead, *share)
            model.add(starts[early] >= ends[late] + away).only_enforce_if(~ahead, *share)
        if early in hinted and late in hinted:
            model.add_hint(ahead, hinted[early]["start_s"] < hinted[late]["start_s"])
# Rooms: each stay in one bay; no two classes at once in a bay.
where_of = {}
for room, what in enumerate(night["rooms"]):
    stays = []
    for task, uses in enumerate(night["tasks"]):
        for used in uses["rooms"]:
            if used["room"] != room:
                continue
            where = [model.new_bool_var("") for _ in range(what["bays"])]
            where_of[task, uses["rooms"].index(used)] = where
            begin = starts[task, used["from_phase"]]
            end = starts.get((task, used["to_phase"] + 1), ends[task, used["to_phase"]])
            stays.append((begin, end, used, where))
    for begin, end, used, where in stays:
        model.add_exactly_one(where)
    for bay in range(what["bays"]):
        bars, amounts = [], []
        for begin, end, used, where in stays:
            bars.append(bar(begin, end, where[bay]))
            amounts.append(used["units"])
        model.add_cumulative(bars, amounts, what["units"])
        for i in range(len(stays)):
            for j in range(i):
                one, other = stays[i][2]["class"], stays[j][2]["class"]
                if one is not None and other is not None and one != other:
                    model.add_no_overlap([bars[i], bars[j]])
# Kit: from the begin of one task to the end of another.
for kit, pool in enumerate(night["kit"]):
    bars, amounts = [], []
    for hold in night["holds"]:
        if hold["kit"] == kit:
            begin, end = starts[hold["from_task"], 0], ends[last(hold["to_task"])]
            bars.append(model.new_interval_var(begin, model.new_int_var(0, horizon, ""), end, ""))
            amounts.append(hold["count"])
    if bars:
        model.add_cumulative(bars, amounts, pool["count"])
# Serving.
for side, what in enumerate(night["sides"]):
    for task, step in enumerate(night["tasks"]):
        if step["ends_service"] and step["side"] == side:
            model.add(starts[task, 0] >= what["serves_until_s"])
for rule in night["serving"]:
    serves = []
    for side, what in enumerate(night["sides"]):
        if what["machine"] != rule["machine"]:
            continue
        goes_on = model.new_bool_var("")
        serves.append(goes_on)
        for task, step in enumerate(night["tasks"]):
            if step["ends_service"] and step["side"] == side:
                model.add(starts[task, 0] >= rule["until_s"]).only_enforce_if(goes_on)
    model.add(sum(serves) >= rule["keep"])
finish = model.new_int_var(0, horizon, "")
for end in ends.values():
    model.add(finish >= end)
model.minimize(finish)
solver = cp_model.CpSolver()
solver.parameters.num_workers = 1
solver.parameters.max_time_in_seconds = given["seconds"]
status = solver.solve(model)
word = {
    cp_model.OPTIMAL: "best",
    cp_model.FEASIBLE: "feasible",
    cp_model.INFEASIBLE: "impossible",
}.get(status, "out-of-time")
found = word in ("best", "feasible")


def bays(key):
    """Of each room that the task occupies from this phase on, the bay."""
    taken = [n for n, used in enumerate(night["tasks"][key[0]]["rooms"]) if used["from_phase"] == key[1]]
    return [next(bay for bay, here in enumerate(where_of[key[0], n]) if solver.value(here)) for n in taken]


def assignment(key):
    return {
        "task": key[0], "phase": key[1], "place": place_of(key),
        "start_s": solver.value(starts[key]), "end_s": solver.value(ends[key]),
        "people": [p for p, does in doing.get(key, {}).items() if solver.value(does)],
        "bays": bays(key),
    }


print(json.dumps({
    "word": word,
    "ends_at": round(solver.objective_value) if found else None,
    "bound": round(solver.best_objective_bound),
    "seconds": time.perf_counter() - begun,
    "assignments": [assignment(key) for key in starts] if found else [],
}))
