"""Writes growth-more.json: further check values for growth, each with its source.

Needs mpmath. The Baranyi counts are worked out by two other forms than the program's: the one in the
documentation of the R package growthrates (in A(t)), and the one with the lag that R packages for fitting use. Where
a row's expected value was printed in its source, it is that value.
"""

import json
from pathlib import Path

from mpmath import exp, log, mp, mpf

mp.dps = 40
rows = []


def row(id, input, expected, tolerance, source, status):
    rows.append(dict(id=id, input=input, expected=expected, tolerance=tolerance, source=source, status=status))


# Isolates of the Bacillus cereus group: mean h0 and Q0 as the authors' own summary prints them.
PAIRS = """125 20.0212026224802 2.01791180433473e-09
135 14.8750788230538 3.46605539827131e-07
194 14.4118052221889 5.50849243033752e-07
402 20.07576911059 1.91075170654178e-09
407 5.94398476278016 0.00262845315987102
433 5.96349201151161 0.00257754526039351
457 7.15375448178856 0.000782534730054091
474 6.4424024998054 0.00159511626116225
495 6.11061164575982 0.00222412880875734
518 10.6339338146204 2.40852791046357e-05
536 12.7460440465433 2.91383308350819e-06
564 9.16250852756149 0.000104910429668844
570 4.81412099637032 0.0081807328300822
638 5.79500967290876 0.00305198727950995
649 5.347943228584 0.00478067300336062"""
for line in PAIRS.splitlines():
    isolate, h0, q0 = line.split()
    row(f"Q0-isolate{isolate}", {"h0": float(h0)}, float(q0), 1e-15,
        "Q0_h0_summary.csv of the open repository of the Bacillus cereus exposure assessment in milk, isolate "
        + isolate, "read")

# Spore-former types in milk at 6 °C: lag and rate at 6 °C, and both as the authors scaled them to 4 °C with
# Tmin -3.62 (columns ..._four_A). The printed figures are those of -3.6204, so they are met to 3e-5, not to their
# seven digits.
TYPES = """3 6.563 1.053 2.143 5.79 10.46005 0.6606891
100 10.4222 0.9893 3.4399 6.5451 16.6108 0.6207215
15 1.9293 0.6404 3.5174 6.5069 3.0749 0.4018094
513 5.7252 0.7422 3.0383 6.4395 9.124769 0.4656823
61 13.387 1.543 2.776 6.357 21.33607 0.9681323
45 18.2244 0.9647 4.3403 7.7041 29.04588 0.6052866
179 4.9731 0.8079 2.9685 7.6904 7.926079 0.5069048
340 3.527 0.7807 3.43 7.398 5.621299 0.4898385
17 2.964 1.342 3.06 7.364 4.723995 0.8420178"""
SPORES = "GrowthParameters.csv of the open repository of a milk spore-former model (Buehler and others 2018), type "
for line in TYPES.splitlines():
    kind, lag, mu, n0, nmax, lag4, mu4 = line.split()
    row(f"EGR-type{kind}-rate4", {"T": 6, "log10_per_day": float(mu), "T0": -3.62, "to_C": 4}, float(mu4), 3e-5,
        SPORES + kind + ": mumax_four_A", "read")
    row(f"EGR-type{kind}-lag4", {"T": 4, "log10_per_day": float(lag), "T0": -3.62, "to_C": 6}, float(lag4), 3e-5,
        SPORES + kind + ": lag_four_A", "read")
    if kind == "15":
        continue
    # The form with the lag, h0 = mu lag.
    for days in (7, 21):
        m, l, t = mpf(mu), mpf(lag), mpf(days)
        room = mpf(10) ** (mpf(nmax) - mpf(n0)) - 1
        count = mpf(nmax) - log(1 + room / (1 - exp(-m * l) + exp(-m * (l - t))), 10)
        row(f"PRI-type{kind}-BAR-{days}",
            {"log10N0": float(n0), "log10Nmax": float(nmax), "mu": mu + "/d", "h0": float(m * l), "t_d": days},
            float(count), 1e-10, SPORES + kind + "; count by the form with the lag, mpmath 40 digits", "params read")

# Examples in the documentation of R packages; counts by the form in A(t).
EXAMPLES = [
    ("growthrates grow_baranyi", "-2", "-1", "0.5", "5", (5, 10, 15, 30)),
    ("biogrowth v01_growth_predictions, mu 0.2 log10/h, lambda 20 h", "1", "7", None, None, (10, 40, 70, 100)),
    ("biogrowth v23_units-dilemma, mu 0.5 log10/h, lambda 5 h", "2", "8", None, None, (4, 12, 25)),
]
for number, (where, n0, nmax, mu, h0, times) in enumerate(EXAMPLES):
    if mu is None:
        per_hour, lag = (mpf("0.2"), 20) if number == 1 else (mpf("0.5"), 5)
        m = per_hour * log(10)
        h = m * lag
    else:
        m, h = mpf(mu), mpf(h0)
    # The row holds floats, so the count is that of the floats.
    m, h = mpf(float(m)), mpf(float(h))
    for t in times:
        grown = m * t + log(exp(-m * t) + exp(-h) - exp(-m * t - h))
        y0, ymax = mpf(n0) * log(10), mpf(nmax) * log(10)
        y = y0 + grown - log(1 + (exp(grown) - 1) / exp(ymax - y0))
        row(f"PRI-doc{number}-{t}",
            {"log10N0": float(n0), "log10Nmax": float(nmax), "mu": f"{float(m)!r}/h", "h0": float(h), "t_h": t},
            float(y / log(10)), 1e-10, f"example parameters of {where}; count by the form in A(t), mpmath 40 digits",
            "params read")

# Doubling times that the fits have to lie within.
for T, low, high in ((4, 29.73, 45.55), (13, 4.45, 6.92)):
    b, tmin = mpf("0.024"), mpf("-2.32")
    row(f"RM-{T}", {"T": T, "model": "LM_MILK"}, float(log(2) / (b * (T - tmin)) ** 2),
        f"must lie in [{low},{high}] h", "Rosenow and Marth 1987 doubling times in milk and cream (abstract read)",
        "range read")

(Path(__file__).parent / "growth-more.json").write_text(json.dumps(rows, indent=1, ensure_ascii=False) + "\n")
print(len(rows), "rows")
