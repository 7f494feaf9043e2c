"""Values of general-purpose packages that the crates ft-wear, ft-readings and ft-odds are compared with.

    python3 -m venv venv && venv/bin/pip install lifelines==0.30.3 reliability==0.9.0 statsmodels==0.15.0 scipy
    venv/bin/python tests/reference/statistics_reference.py > tests/reference/statistics.json

The lists of lives that are kept are drawn here with a fixed seed (invented). With `--package-data` the same figures
are printed for data sets that come with the packages, which are not kept in this repository: the tests run that
when the packages are there (FULLTRAY_PYTHON names the interpreter), and say that they skip it when they are not.
Exit code 2 when a package is absent.
"""

import contextlib
import io
import json
import sys
import warnings

warnings.filterwarnings("ignore")
try:
    import lifelines
    import numpy
    import reliability
    import scipy
    import statsmodels
    import statsmodels.api
    from lifelines import datasets
    from reliability.Datasets import automotive, defective_sample, mileage
    from reliability.Fitters import Fit_Lognormal_2P, Fit_Weibull_2P
    from reliability.Repairable_systems import optimal_replacement_time
    from scipy import optimize, stats
except ImportError as absent:
    print(f"absent: {absent.name}", file=sys.stderr)
    sys.exit(2)


def numbers(values):
    return [float(value) for value in values]


def lives(durations, events):
    return {
        "failed": numbers(d for d, e in zip(durations, events) if e),
        "unfailed": numbers(d for d, e in zip(durations, events) if not e),
    }


def kaplan_meier(list_):
    durations = list_["failed"] + list_["unfailed"]
    events = [1] * len(list_["failed"]) + [0] * len(list_["unfailed"])
    fitter = lifelines.KaplanMeierFitter().fit(durations, events)
    ages = sorted(set(list_["failed"]))
    share = fitter.survival_function_.iloc[:, 0]
    bounds = fitter.confidence_interval_survival_function_
    return [[age, float(share[age]), *numbers(bounds.loc[age])] for age in ages]


def weibull(list_):
    durations = list_["failed"] + list_["unfailed"]
    events = [1] * len(list_["failed"]) + [0] * len(list_["unfailed"])
    fitter = lifelines.WeibullFitter().fit(durations, events)
    normal = lifelines.LogNormalFitter().fit(durations, events)
    with contextlib.redirect_stdout(io.StringIO()):
        other = Fit_Weibull_2P(list_["failed"], list_["unfailed"] or None, show_probability_plot=False, print_results=False)
        other_normal = Fit_Lognormal_2P(list_["failed"], list_["unfailed"] or None, show_probability_plot=False, print_results=False)
    return {
        "lifelines": [float(fitter.lambda_), float(fitter.rho_), float(fitter.log_likelihood_)],
        "reliability": [float(other.alpha), float(other.beta), float(other.loglik)],
        "lognormal_lifelines": [float(normal.mu_), float(normal.sigma_), float(normal.log_likelihood_)],
        "lognormal_reliability": [float(other_normal.mu), float(other_normal.sigma), float(other_normal.loglik)],
        "bounds": likelihood_bounds(list_, fitter.lambda_, fitter.rho_),
    }


def likelihood_bounds(list_, scale, shape):
    """Bounds of the shape by likelihood ratio with scipy alone, in another parameterisation than the crate's."""
    failed, unfailed = numpy.array(list_["failed"]), numpy.array(list_["unfailed"])

    def minus(theta):
        law = stats.weibull_min(numpy.exp(theta[0]), scale=numpy.exp(theta[1]))
        return -(law.logpdf(failed).sum() + law.logsf(unfailed).sum())

    best = optimize.minimize(minus, [numpy.log(shape), numpy.log(scale)], method="Nelder-Mead",
                             options={"xatol": 1e-10, "fatol": 1e-10})

    def profile(log_shape):
        inner = optimize.minimize_scalar(lambda log_scale: minus([log_shape, log_scale]),
                                         bracket=(best.x[1] - 0.2, best.x[1] + 0.2), tol=1e-12)
        return inner.fun - best.fun - stats.chi2.ppf(0.95, 1) / 2

    low = optimize.brentq(profile, best.x[0] - 2.5, best.x[0], xtol=1e-11)
    high = optimize.brentq(profile, best.x[0], best.x[0] + 2.5, xtol=1e-11)
    return numbers([numpy.exp(low), numpy.exp(high)])


def invented_sets():
    """Lives drawn from a Weibull law, changed at an age in time; rounded to half days."""
    random = numpy.random.default_rng(20250101)
    sets = {}
    for name, count, shape, scale, latest in [("few", 12, 2.2, 90, 110), ("many censored", 40, 1.6, 300, 180),
                                              ("no wear", 30, 0.9, 60, 120), ("complete", 25, 4.0, 45, 1e9)]:
        ages = numpy.maximum(0.5, numpy.round(2 * scale * random.weibull(shape, count)) / 2)
        sets[name] = lives(numpy.minimum(ages, latest), ages <= latest)
    return sets


def package_sets():
    waltons, lung, larynx = datasets.load_waltons(), datasets.load_lung(), datasets.load_larynx()
    sets = {
        "waltons miR-137 (lifelines)": lives(*waltons[waltons.group == "miR-137"][["T", "E"]].values.T),
        "waltons control (lifelines)": lives(*waltons[waltons.group == "control"][["T", "E"]].values.T),
        "lung (lifelines)": lives(lung["time"], lung["status"]),
        "larynx (lifelines)": lives(larynx["time"], larynx["death"]),
    }
    for name, data in [("automotive", automotive), ("defective_sample", defective_sample), ("mileage", mileage)]:
        one = data()
        sets[f"{name} (reliability)"] = {
            "failed": numbers(one.failures),
            "unfailed": numbers(getattr(one, "right_censored", [])),
        }
    return sets


def replacement():
    rows = []
    for shape, scale, planned, failure in [(2.0, 100, 1, 10), (3.0, 400, 5, 20), (1.5, 90, 2, 30), (5.0, 60, 1, 3)]:
        with contextlib.redirect_stdout(io.StringIO()):
            found = optimal_replacement_time(planned, failure, scale, shape, q=0, show_time_plot=False,
                                             show_ratio_plot=False, print_results=False)
        rows.append([shape, scale, planned, failure, float(found.ORT), float(found.min_cost)])
    return rows


def mixed():
    """Variance components by restricted likelihood: statsmodels MixedLM against the crate's one-number search."""
    random = numpy.random.default_rng(20250101)
    rows = []
    for persons, runs in [(5, 6), (8, 4), (12, 10)]:
        means = 3.3 + 0.2 * random.standard_normal(persons)
        counts = [max(1, int(runs + random.integers(-2, 3))) for _ in range(persons)]
        logs = [numbers(numpy.round(mean + 0.12 * random.standard_normal(n), 4)) for mean, n in zip(means, counts)]
        groups = numpy.repeat(numpy.arange(persons), counts)
        values = numpy.concatenate(logs)
        fit = statsmodels.api.MixedLM(values, numpy.ones(len(values)), groups).fit(reml=True, method="lbfgs", gtol=1e-12)
        rows.append({"logs": logs, "within": float(fit.scale), "between": float(fit.cov_re[0, 0]), "centre": float(fit.fe_params[0])})
    return rows


def learning():
    """A learning curve's prediction interval: statsmodels OLS on logs."""
    number = [1, 2, 3, 5, 8, 13, 21]
    minutes = [48.0, 41.5, 39.0, 33.2, 31.0, 27.9, 26.8]
    design = statsmodels.api.add_constant(numpy.log(number))
    fit = statsmodels.api.OLS(numpy.log(minutes), design).fit()
    ahead = fit.get_prediction([[1.0, numpy.log(30)]]).conf_int(obs=True, alpha=0.1)[0]
    return {"number": number, "minutes": minutes, "first": float(numpy.exp(fit.params[0])), "exponent": float(fit.params[1]),
            "at": 30, "interval_90": numbers(numpy.exp(ahead))}


def run_lengths():
    """Run lengths by another route than the crate's: Markov chains after Brook and Evans, extrapolated."""

    def cusum_one_sided(k, h, shift, cells):
        width = 2 * h / (2 * cells - 1)
        middles = width * numpy.arange(cells)
        edges = middles + width / 2
        upper = stats.norm.cdf(edges[None, :] - middles[:, None] + k - shift)
        q = numpy.diff(numpy.hstack([numpy.zeros((cells, 1)), upper]), axis=1)
        return numpy.linalg.solve(numpy.eye(cells) - q, numpy.ones(cells))[0]

    def ewma(weight, width, shift, cells):
        reach = width * numpy.sqrt(weight / (2 - weight))
        edges = numpy.linspace(-reach, reach, cells + 1)
        middles = (edges[1:] + edges[:-1]) / 2
        upper = stats.norm.cdf((edges[None, :] - (1 - weight) * middles[:, None]) / weight - shift)
        q = numpy.diff(upper, axis=1)
        return numpy.linalg.solve(numpy.eye(cells) - q, numpy.ones(cells))[cells // 2]

    def settled(f, *args):
        coarse, fine = f(*args, 201), f(*args, 801)
        return float(fine + (fine - coarse) / 15)

    cusum = [[k, h, shift, settled(cusum_one_sided, k, h, shift)]
             for k, h in [(0.5, 4.0), (0.5, 5.0), (0.25, 8.0)] for shift in [0.0, 0.5, 1.0, 2.0]]
    averages = [[weight, width, shift, settled(ewma, weight, width, shift)]
                for weight, width in [(0.1, 2.7), (0.2, 2.962), (0.3, 3.0)] for shift in [0.0, 0.5, 1.0, 2.0]]
    return {"cusum_one_sided": cusum, "ewma": averages}


def sampling():
    rows = []
    for n, c, above_m, above_big_m in [(5, 2, 0.3, 0.05), (5, 1, 0.2, 0.1), (10, 0, 0.05, 0.01)]:
        accepted = sum(stats.multinomial.pmf([n - i, i, 0], n, [1 - above_m, above_m - above_big_m, above_big_m])
                       for i in range(c + 1))
        rows.append([n, c, above_m, above_big_m, float(accepted)])
    return rows


def stock():
    return [[mean, service, int(stats.poisson.ppf(service, mean))] for mean in [0.2, 1.0, 3.7, 12.0] for service in [0.8, 0.95, 0.999]]


def all_of(sets):
    return [{"name": name, **list_, "kaplan_meier": kaplan_meier(list_), "weibull": weibull(list_)} for name, list_ in sets.items()]


if "--package-data" in sys.argv:
    answer = {"lives": all_of(package_sets())}
else:
    answer = {
        "made_by": "tests/reference/statistics_reference.py",
        "versions": {p.__name__: p.__version__ for p in [lifelines, statsmodels, scipy, numpy]} | {"reliability": "0.9.0"},
        "lives": all_of(invented_sets()),
        "replacement": replacement(),
        "mixed": mixed(),
        "learning": learning(),
        "run_lengths": run_lengths(),
        "sampling": sampling(),
        "stock": stock(),
    }
print(json.dumps(answer, separators=(",", ":")).replace('],"', '],\n"'))
