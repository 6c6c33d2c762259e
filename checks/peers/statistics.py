"""What scipy and statsmodels make of the numbers on standard input (JSON):
intervals, standard errors, quantiles, counts. Writes CSV.

Nothing here is reckoned by the formulas that it checks where another way is at
hand: a Fieller limit is where scipy's t test of y - r x just fails, a block
bootstrap's error is the sum over every block there is."""

import json
import math
import sys

import numpy as np
import statsmodels.api as sm
from scipy import optimize, stats
from statsmodels.stats.power import TTestPower
from statsmodels.tsa.stattools import acovf

given = json.load(sys.stdin)


def tell(case, what, value):
    print(case, what, "%.15g" % value, sep=",")


def fieller(x, y, confidence):
    """Both limits; none where a ratio of any size passes."""
    def over(r):
        return stats.ttest_1samp(y - r * x, 0).pvalue - (1 - confidence)

    ratio, limits = y.mean() / x.mean(), []
    for way in -1, 1:
        far = 1e-3 * way
        while over(ratio + far) > 0:
            far *= 2
            if abs(far) > 1e9:
                return []
        limits.append(optimize.brentq(over, ratio, ratio + far, xtol=1e-13))
    return limits


def newey_west(v, lags):
    robust = {"maxlags": lags, "use_correction": False}
    return sm.OLS(v, np.ones_like(v)).fit(cov_type="HAC", cov_kwds=robust).bse[0]


def regression(x, y, x_mean):
    at = sm.OLS(y, sm.add_constant(x)).fit().get_prediction([[1, x_mean]])
    return at.predicted_mean[0], at.se_mean[0]


def block_error(v, block):
    """Standard error of the mean of blocks drawn at random, over all blocks."""
    n = len(v)
    blocks = np.lib.stride_tricks.sliding_window_view(v, block)
    whole, rest = divmod(n, block)
    squares = whole * blocks.sum(axis=1).var() + blocks[:, :rest].sum(axis=1).var()
    return math.sqrt(squares) / n


def block_length(v):
    """Politis & White 2004 for blocks of fixed length, bounds of 2009."""
    n = len(v)
    run = max(5, math.ceil(math.sqrt(math.log10(n))))
    most = math.ceil(math.sqrt(n)) + run
    r = np.zeros(max(n, most + 1))
    r[:n] = acovf(v, adjusted=False, fft=False)
    loud = np.abs(r / r[0]) >= 2 * math.sqrt(math.log10(n) / n)
    quiet = (m for m in range(1, most - run + 1) if not loud[m + 1:m + run + 1].any())
    last = next(quiet, max(np.flatnonzero(loud[:most + 1])))
    window = min(2 * last, most)
    k = np.abs(np.arange(-window, window + 1))
    weight = np.clip(2 * (1 - k / window), 0, 1)
    spectrum, bend = (weight * r[k]).sum(), (weight * k * r[k]).sum()
    best = (2 * bend**2 / (4 / 3 * spectrum**2) * n) ** (1 / 3)
    return max(1, min(round(best), math.ceil(min(3 * math.sqrt(n), n / 3))))


def days(sd, halfwidth, confidence, lag1):
    n = 2
    while True:
        free = n * (1 - lag1) / (1 + lag1)
        if free >= 2 and stats.t.ppf((1 + confidence) / 2, free - 1) * sd / math.sqrt(free) <= halfwidth:
            return n
        n += 1


print("case,what,value")
for s in given["sets"]:
    case, x, y = s["name"], np.array(s["x"]), np.array(s["y"])
    tell(case, "ratio error", stats.sem(y - y.mean() / x.mean() * x) / abs(x.mean()))
    limits = fieller(x, y, 0.95)
    tell(case, "bounded by Fieller", len(limits) / 2)
    for end, limit in zip(("low", "high"), limits):
        tell(case, "Fieller " + end, limit)
    tell(case, "Newey-West error", newey_west(y, s["lags"]))
    mean, se = regression(x, y, s["x_mean"])
    tell(case, "regression mean", mean)
    tell(case, "regression error", se)
    drawn = np.array(s["index"])
    ratios = y[drawn].mean(axis=1) / x[drawn].mean(axis=1)
    low, high = np.percentile(ratios, [2.5, 97.5])
    tell(case, "2.5 % of the drawings", low)
    tell(case, "97.5 % of the drawings", high)
    tell(case, "error in blocks", block_error(y, s["block"]))
for i, (p, df) in enumerate(given["quantiles"]):
    tell("quantile", i, stats.t.ppf(p, df))
for i, v in enumerate(given["series"]):
    tell("block length", i, block_length(np.array(v)))
for i, d in enumerate(given["days"]):
    tell("days", i, days(*d))
per = (stats.norm.ppf(0.975) + stats.norm.ppf(0.8)) ** 2
tell("pairs", "per square", per)
tell("pairs", "0.10 and 0.05", math.ceil(per * (0.10 / 0.05) ** 2))
tell("pairs", "by t", math.ceil(TTestPower().solve_power(effect_size=0.05 / 0.10, alpha=0.05, power=0.8)))
