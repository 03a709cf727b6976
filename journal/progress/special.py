"""The few special functions that the figures need: incomplete beta and gamma, their quantiles, and related
chances.

Methods: log-gamma from the standard library, Lentz's continued fraction for the incomplete beta and upper
gamma, the power series for the lower gamma (from memory: Press et al., Numerical Recipes, chapter 6),
quantiles by bisection. Checked against scipy in the tests.
"""

from __future__ import annotations

import math
from collections.abc import Callable

TINY, ENOUGH, MOST_STEPS = 1e-300, 1e-15, 10_000


def log_beta(a: float, b: float) -> float:
    """Natural log of the complete beta function."""
    return math.lgamma(a) + math.lgamma(b) - math.lgamma(a + b)


def beta_cdf(x: float, a: float, b: float) -> float:
    """P(X <= x) for X ~ Beta(a, b), a and b above 0."""
    if x <= 0.0:
        return 0.0
    if x >= 1.0:
        return 1.0
    front = math.exp(a * math.log(x) + b * math.log1p(-x) - log_beta(a, b))
    if x < (a + 1.0) / (a + b + 2.0):
        return front * _beta_fraction(x, a, b) / a
    return 1.0 - front * _beta_fraction(1.0 - x, b, a) / b


def _beta_fraction(x: float, a: float, b: float) -> float:
    c, d = 1.0, 1.0 - (a + b) * x / (a + 1.0)
    d = 1.0 / (d if abs(d) > TINY else TINY)
    total = d
    for m in range(1, MOST_STEPS):
        for step in (
            m * (b - m) * x / ((a + 2 * m - 1.0) * (a + 2 * m)),
            -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1.0)),
        ):
            d = 1.0 + step * d
            d = 1.0 / (d if abs(d) > TINY else TINY)
            c = 1.0 + step / c
            c = c if abs(c) > TINY else TINY
            total *= c * d
        if abs(c * d - 1.0) < ENOUGH:
            break
    return total


def gamma_cdf(x: float, a: float) -> float:
    """P(X <= x) for X ~ Gamma(shape a, rate 1)."""
    if x <= 0.0:
        return 0.0
    front = math.exp(a * math.log(x) - x - math.lgamma(a))
    if x < a + 1.0:
        term = total = 1.0 / a
        n = a
        for _ in range(MOST_STEPS):
            n += 1.0
            term *= x / n
            total += term
            if term < total * ENOUGH:
                break
        return front * total
    return 1.0 - front * _gamma_fraction(x, a)


def _gamma_fraction(x: float, a: float) -> float:
    b = x + 1.0 - a
    c, d = 1.0 / TINY, 1.0 / b
    total = d
    for n in range(1, MOST_STEPS):
        step = -n * (n - a)
        b += 2.0
        d = step * d + b
        d = 1.0 / (d if abs(d) > TINY else TINY)
        c = b + step / c
        c = c if abs(c) > TINY else TINY
        total *= c * d
        if abs(c * d - 1.0) < ENOUGH:
            break
    return total


def _bisect(cdf: Callable[[float], float], p: float, low: float, high: float) -> float:
    for _ in range(200):
        middle = 0.5 * (low + high)
        if middle in (low, high):
            break
        if cdf(middle) < p:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


def beta_quantile(p: float, a: float, b: float) -> float:
    """The x with P(X <= x) = p for X ~ Beta(a, b)."""
    return _bisect(lambda x: beta_cdf(x, a, b), p, 0.0, 1.0)


def gamma_quantile(p: float, a: float, rate: float = 1.0) -> float:
    """The x with P(X <= x) = p for X ~ Gamma(shape a, rate)."""
    high = max(1.0, 2.0 * a)
    while gamma_cdf(high, a) < p:
        high *= 2.0
    return _bisect(lambda x: gamma_cdf(x, a), p, 0.0, high) / rate


def beta_binomial(k: int, n: int, a: float, b: float) -> float:
    """P(k of n) when the chance of each is one draw from Beta(a, b)."""
    choose = math.lgamma(n + 1) - math.lgamma(k + 1) - math.lgamma(n - k + 1)
    return math.exp(choose + log_beta(a + k, b + n - k) - log_beta(a, b))


def negative_binomial(k: int, a: float, p: float) -> float:
    """P(k) with size a and success chance p: a Poisson count whose rate is Gamma(a, p/(1-p))."""
    return math.exp(
        math.lgamma(a + k) - math.lgamma(a) - math.lgamma(k + 1) + a * math.log(p) + k * math.log1p(-p)
    )


def beta_above(a1: float, b1: float, a2: float, b2: float) -> float:
    """P(X1 > X2) for independent Betas: the integral of the narrower one's density times the other's cdf."""
    if _beta_variance(a1, b1) > _beta_variance(a2, b2):
        return 1.0 - beta_above(a2, b2, a1, b1)
    low, high = beta_quantile(1e-14, a1, b1), beta_quantile(1 - 1e-14, a1, b1)
    scale = log_beta(a1, b1)

    def inner(x: float) -> float:
        if not 0.0 < x < 1.0:
            return 0.0
        return math.exp((a1 - 1) * math.log(x) + (b1 - 1) * math.log1p(-x) - scale) * beta_cdf(x, a2, b2)

    return min(1.0, max(0.0, integrate(inner, low, high)))


def _beta_variance(a: float, b: float) -> float:
    return a * b / ((a + b) ** 2 * (a + b + 1))


def gamma_above(a1: float, r1: float, a2: float, r2: float) -> float:
    """P(X1 > X2) for independent Gammas of rates r1 and r2: X1 r1 / (X1 r1 + X2 r2) is Beta(a1, a2)."""
    return 1.0 - beta_cdf(r1 / (r1 + r2), a1, a2)


def integrate(inner: Callable[[float], float], low: float, high: float) -> float:
    """The integral over [low, high] by the double exponential rule, which bears steep ends.

    Source: H. Takahasi and M. Mori, Publ. RIMS 9 (1974) 721-741 (from memory).
    """
    half, middle, step = 0.5 * (high - low), 0.5 * (high + low), 0.05
    total = 0.0
    for n in range(-70, 71):
        t = n * step
        bend = 0.5 * math.pi * math.sinh(t)
        weight = 0.5 * math.pi * math.cosh(t) / math.cosh(bend) ** 2
        total += weight * inner(middle + half * math.tanh(bend))
    return half * step * total
