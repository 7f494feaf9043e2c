"""Smallest repairs and loosest orders of small core forms, by MaxSAT.

Reads one core form a line, writes one line each: {"repair": k or null, "order": m or null}, the fewest orders that
make the form safe and the fewest ordered pairs that any safe order has. Its own reading of the core form's meaning;
the solver is RC2 of python-sat (Ignatiev, Morgado, Marques-Silva 2019). Forms with answers of the world are not
for it.
"""

import json
import sys
from itertools import permutations

from pysat.examples.rc2 import RC2
from pysat.formula import WCNF


class Machine:
    def __init__(self, form):
        self.form = form
        self.vars, self.events = form["vars"], form["events"]
        self.size = len(self.events)

    def holds(self, vals, cond):
        return all(mask >> (vals[v] - self.vars[v]["lo"]) & 1 for v, mask in cond)

    def after(self, vals, event):
        new = list(vals)
        for effect in self.events[event]["eff"]:
            if self.holds(vals, effect["when"]):
                v, c = effect["v"], effect["c"]
                lo, hi = self.vars[v]["lo"], self.vars[v]["hi"]
                new[v] = c if effect["op"] == "set" else max(lo, min(hi, new[v] + c))
        return tuple(new)

    def start(self):
        return tuple(v["init"] for v in self.vars)

    def shows(self, vals, event, then):
        """Whether doing `event` (None at the start) in `vals`, which leads to `then`, shows a hazard."""
        for hazard in self.form["hazards"]:
            if hazard["on"] is None:
                if self.holds(then, hazard["when"]):
                    return True
            elif hazard["on"] == event and self.holds(vals, hazard["when"]):
                return True
        return False

    def stories(self, strict):
        """(story, bad, open): every way to carry out events, up to the first thing that goes wrong. With
        `strict`, whatever has not happened may be tried, and a guard that does not hold is wrong."""
        start = self.start()
        waiting = [((), start, self.shows(start, None, start))]
        while waiting:
            story, vals, bad = waiting.pop()
            left = [e for e in range(self.size) if e not in story]
            if strict:
                free = left
            else:
                free = [e for e in left if all(p in story for p in self.events[e]["pre"])]
                free = [e for e in free if self.holds(vals, self.events[e]["guard"])]
            if not bad and not left:
                bad = not self.holds(vals, self.form["goal"])
            yield story, bad, free
            if bad:
                continue
            for e in free:
                then = self.after(vals, e)
                wrong = self.shows(vals, e, then) or (strict and not self.holds(vals, self.events[e]["guard"]))
                waiting.append((story + (e,), then, wrong))


def solve(machine, strict):
    size, count = machine.size, 0
    names = {}

    def name(*key):
        return names.setdefault(key, len(names) + 1)

    pairs = list(permutations(range(size), 2))
    wcnf = WCNF()
    for a, b in pairs:
        wcnf.append([-name("x", a, b), -name("x", b, a)])
        for c in range(size):
            if c not in (a, b):
                wcnf.append([-name("x", a, b), -name("x", b, c), name("x", a, c)])
    if strict:
        for pair in pairs:
            wcnf.append([-name("x", *pair)], weight=1)
    else:
        given = {(p, e) for e in range(size) for p in machine.events[e]["pre"]}
        for a, b in pairs:
            if (a, b) in given:
                wcnf.append([name("x", a, b)])
                continue
            # An order is there because it is added, or because it follows from others.
            wcnf.append([-name("add", a, b), name("x", a, b)])
            wcnf.append([-name("add", a, b)], weight=1)
            support = [name("add", a, b)]
            for c in range(size):
                if c not in (a, b):
                    both = name("both", a, c, b)
                    wcnf.append([-both, name("x", a, c)])
                    wcnf.append([-both, name("x", c, b)])
                    support.append(both)
            wcnf.append([-name("x", a, b)] + support)
    for story, bad, free in machine.stories(strict):
        cut = [name("x", a, b) for i, b in enumerate(story) for a in range(size) if a != b and a not in story[:i]]
        if bad:
            wcnf.append(cut)
        elif not strict and len(story) < size:
            # Something must be free to happen here, unless the story is cut.
            ways = []
            for e in free:
                way = name("way", story, e)
                ways.append(way)
                for a in range(size):
                    if a != e and a not in story:
                        wcnf.append([-way, -name("x", a, e)])
            wcnf.append(cut + ways)
        count += 1
    with RC2(wcnf) as solver:
        return solver.cost if solver.compute() is not None else None


for line in sys.stdin:
    machine = Machine(json.loads(line))
    print(json.dumps({"repair": solve(machine, False), "order": solve(machine, True)}), flush=True)
