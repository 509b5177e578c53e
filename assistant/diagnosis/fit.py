"""Least-squares fit of a curve, with how well the readings determine each of its numbers.

The standard errors come from the curvature at the minimum (the Jacobian written out by the
caller), the intervals from Student's t for the few readings that a technician takes.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from assistant.errors import NotDeterminedError

Floats = NDArray[np.float64]
Curve = Callable[[Floats, Floats], Floats]
"""(x, parameters) to values of shape (x,), or to the Jacobian of shape (x, parameters)."""


@dataclass(frozen=True, slots=True)
class Fit:
    """``values`` in the order of the curve's parameters. ``rss`` is the residual sum of squares,
    ``spread`` the residual standard deviation, ``freedom`` its degrees of freedom. ``leverage``
    is each parameter's standard error for a spread of one."""

    values: Floats
    leverage: Floats
    rss: float
    spread: float
    freedom: int

    @property
    def errors(self) -> Floats:
        """Standard error of each parameter."""
        return np.asarray(self.leverage * self.spread)

    def half_width(self, level: float = 0.95, least_spread: float = 0.0) -> Floats:
        """Half the confidence interval of each parameter, for readings that scatter by no less
        than ``least_spread`` (what rounding alone would do)."""
        from scipy import stats

        spread = max(self.spread, least_spread)
        return np.asarray(stats.t.ppf((1 + level) / 2, self.freedom) * self.leverage * spread)


def fit_curve(
    curve: Curve,
    jacobian: Curve,
    x: ArrayLike,
    y: ArrayLike,
    start: ArrayLike,
    bounds: tuple[ArrayLike, ArrayLike] | None = None,
    tolerance: float = 1e-14,
) -> Fit:
    """Fit ``curve(x, parameters)`` to ``y`` from ``start``; ``bounds`` are the lowest and the
    highest parameters, ``tolerance`` the relative change at which to stop. Raises
    NotDeterminedError when readings are fewer than one more than the parameters, when nothing is
    found, or when the minimum is flat in some direction."""
    from scipy.optimize import least_squares

    x, y = np.asarray(x, dtype=np.float64), np.asarray(y, dtype=np.float64)
    begin = np.asarray(start, dtype=np.float64)
    freedom = y.size - begin.size
    if freedom < 1:
        raise NotDeterminedError(
            f"{y.size} readings can't determine {begin.size} numbers and say how sure they are: "
            f"take at least {begin.size + 1 - y.size} more."
        )
    found = least_squares(
        lambda p: curve(x, p) - y,
        begin,
        jac=lambda p: jacobian(x, p),
        bounds=bounds or (-np.inf, np.inf),
        method="trf" if bounds else "lm",
        x_scale="jac",
        xtol=tolerance,
        ftol=tolerance,
        gtol=tolerance,
        max_nfev=5000,
    )
    rss = float(found.fun @ found.fun)
    slope = jacobian(x, found.x)
    size = np.linalg.norm(slope, axis=0)
    if found.status < 1 or not np.all(np.isfinite(found.x)) or np.any(size == 0):
        raise NotDeterminedError("No curve fits these readings: take them again, further apart.")
    scaled = slope / size
    curvature = scaled.T @ scaled
    if np.linalg.cond(curvature) > 1e12:
        raise NotDeterminedError("The readings don't tell the curve's numbers apart: take more.")
    spread = float(np.sqrt(rss / freedom))
    leverage = np.sqrt(np.diag(np.linalg.inv(curvature))) / size
    return Fit(found.x, leverage, rss, spread, freedom)
