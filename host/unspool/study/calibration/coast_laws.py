"""The laws of resistance compared over one set of coasts, in numbers and in words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from unspool.errors import InputError
from unspool.study.calibration.coasts import ALIKE_VARIANCES, Coast, CoastLaw, LawFit, fit_law


@dataclass(frozen=True)
class CoastJudgement:
    """fits are in the order of CoastLaw, without the impossible ones, whose reasons are in
    `impossible`. alike are the laws that explain the coasts as well as the best does.
    """

    fits: tuple[LawFit, ...]
    impossible: tuple[str, ...]
    rejected: tuple[CoastLaw, ...]
    alike: tuple[CoastLaw, ...]

    @property
    def text(self) -> tuple[str, ...]:
        """What it means for the builder, a sentence each."""
        return (*_rejections(self), *_choice(self), *self.impossible)

    def fit(self, law: CoastLaw) -> LawFit:
        """Raises KeyError where that law is impossible."""
        found = {fit.law: fit for fit in self.fits}
        return found[law]


def judge_coasts(coasts: Sequence[Coast | tuple[float, float]]) -> CoastJudgement:
    """Which laws of resistance these coasts obey; a pair is speed in m/s and distance in m.

    Repeats from the very same speed are needed to reject a law. Raises InputError where the coasts
    cannot be used or no law is possible.
    """
    given = [one if isinstance(one, Coast) else Coast(*one) for one in coasts]
    fits, reasons = [fit_law(given, CoastLaw.CONSTANT)], []
    for law in list(CoastLaw)[1:]:
        try:
            fits.append(fit_law(given, law))
        except InputError as error:
            reasons.append(str(error))
    standing = [fit for fit in fits if not fit.rejected]
    best = min(standing, key=lambda fit: fit.squares, default=None)
    limit = best.squares * (1.0 + ALIKE_VARIANCES / best.freedom) if best else 0.0
    return CoastJudgement(
        fits=tuple(fits),
        impossible=tuple(reasons),
        rejected=tuple(fit.law for fit in fits if fit.rejected),
        alike=tuple(fit.law for fit in standing if fit.squares <= limit),
    )


def _rejections(judged: CoastJudgement) -> Iterator[str]:
    constant = judged.fits[0]
    if constant.rejected and constant.lack:
        yield (
            "A single rolling coefficient does not explain these coasts (a true one would leave as "
            f"much in {100.0 * constant.lack.chance:.2g} % of cases): the air or the bearings drag "
            "more at speed, or every distance is measured from a place that is off."
        )
    elif constant.lack is None:
        yield (
            "Without repeats from one speed no law can be rejected: coast twice or more from each."
        )


def _choice(judged: CoastJudgement) -> Iterator[str]:
    names = ", ".join(f"`{law}`" for law in judged.alike)
    if not judged.alike:
        yield "None of the laws explains these coasts: look for odd ones among them."
    elif len(judged.alike) > 1:
        yield (
            f"These coasts do not tell {names} apart: coasts from clearly slower and faster speeds "
            "would, and each distance measured from where the wheel stood."
        )
    else:
        yield f"Only {names} explains these coasts."
