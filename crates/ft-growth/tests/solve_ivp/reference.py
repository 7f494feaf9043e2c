"""Reference counts by SciPy's solve_ivp, for the test beside this file.

Reads a JSON list of cases of one secondary model from standard input and writes the list of log10 counts at the
end. Every case is cut at its nodes and where it crosses a kink of its model, so that no step can jump over anything;
the pieces of all cases are solved side by side as one system. The dynamic form is solved as it was published, with
its own state for the lag, not in the dose.
"""

import json
import sys

import numpy as np
from scipy.integrate import solve_ivp


def rate_function(model):
    kind = model["kind"]
    if kind == "square-root":
        b, lo = model["b"], model["t_min"]
        return lambda T: (b * np.maximum(T - lo, 0.0)) ** 2, [lo]
    if kind == "extended-square-root":
        b, lo, c, hi = model["b"], model["t_min"], model["c"], model["t_max"]

        def extended(T):
            root = b * (T - lo) * (1.0 - np.exp(c * (T - hi)))
            return np.where((T > lo) & (T < hi), root * root, 0.0)

        return extended, [lo, hi]
    lo, opt, hi, top = model["t_min"], model["t_opt"], model["t_max"], model["mu_opt"]

    def cardinal(T):
        inside = np.where((T > lo) & (T < hi), T, opt)
        num = (inside - hi) * (inside - lo) ** 2
        den = (opt - lo) * ((opt - lo) * (inside - opt) - (opt - hi) * (opt + lo - 2 * inside))
        return np.where((T > lo) & (T < hi), top * num / den, 0.0)

    return cardinal, [lo, hi]


def pieces(case, kinks):
    """(hours, from, to) of each smooth piece."""
    found = []
    nodes = list(zip(case["hours"], case["celsius"]))
    for (t0, T0), (t1, T1) in zip(nodes, nodes[1:]):
        cuts = sorted((k - T0) / (T1 - T0) for k in kinks if min(T0, T1) < k < max(T0, T1))
        ends = [0.0, *cuts, 1.0]
        for a, b in zip(ends, ends[1:]):
            found.append(((t1 - t0) * (b - a), T0 + (T1 - T0) * a, T0 + (T1 - T0) * b))
    return found


def main():
    cases = json.load(sys.stdin)
    rate, kinks = rate_function(cases[0]["model"])
    cut = [pieces(case, kinks) for case in cases]
    longest = max(map(len, cut))
    for found in cut:
        found.extend([(0.0, 0.0, 0.0)] * (longest - len(found)))
    cut = np.array(cut)  # case, piece, (hours, from, to)
    n = len(cases)
    ln10 = np.log(10.0)
    y = np.array([case["log10_n0"] for case in cases]) * ln10
    ymax = np.array([case["log10_nmax"] for case in cases]) * ln10
    m = np.array([case["m"] for case in cases], dtype=float)
    h0 = np.array([case["h0"] for case in cases])
    no_lag = h0 == 0.0
    lnq = np.where(no_lag, 0.0, -np.log(np.expm1(np.where(no_lag, 1.0, h0))))
    state = np.concatenate([y, lnq])
    for piece in range(longest):
        hours, start, end = cut[:, piece, 0], cut[:, piece, 1], cut[:, piece, 2]

        def slope(s, state):
            mu = rate(start + (end - start) * s) * hours
            y, lnq = state[:n], state[n:]
            alpha = np.where(no_lag, 1.0, 1.0 / (1.0 + np.exp(-lnq)))
            return np.concatenate([mu * alpha * -np.expm1(m * (y - ymax)), mu])

        solution = solve_ivp(slope, (0.0, 1.0), state, method="DOP853", rtol=1e-12, atol=1e-13)
        assert solution.success, solution.message
        state = solution.y[:, -1]
    json.dump([float(v) for v in state[:n] / ln10], sys.stdout)


main()
