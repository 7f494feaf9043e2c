"""One project through OR-Tools CP-SAT (PyPI `ortools`), one worker: JSON in, JSON out."""
import json
import sys
import time

from ortools.sat.python import cp_model

given = json.load(sys.stdin)
lengths, capacities = given["lengths"], given["capacities"]
longest = list(lengths)
for before, _, lag in given["lags"]:
    longest[before] = max(longest[before], lag)
horizon = sum(longest)
begun = time.perf_counter()
model = cp_model.CpModel()
starts = [model.new_int_var(0, horizon, "") for _ in lengths]
bars = [model.new_fixed_size_interval_var(start, length, "") for start, length in zip(starts, lengths)]
for before, after, lag in given["lags"]:
    model.add(starts[after] >= starts[before] + lag)
for resource, capacity in enumerate(capacities):
    users = [(bars[one], amount) for one, uses in enumerate(given["uses"]) for used, amount in uses if used == resource]
    if users:
        model.add_cumulative([bar for bar, _ in users], [amount for _, amount in users], capacity)
end = model.new_int_var(0, horizon, "")
for start, length in zip(starts, lengths):
    model.add(end >= start + length)
model.minimize(end)
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
print(json.dumps({
    "word": word,
    "ends_at": round(solver.objective_value) if found else None,
    "seconds": time.perf_counter() - begun,
}))
