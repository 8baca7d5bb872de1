"""The laws of resistance compared over one set of coasts."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from unspool.finding import Finding, note, warning
from unspool.study.calibration.coasts import (
    ALIKE_VARIANCES,
    Coast,
    CoastFit,
    CoastLaw,
    ImpossibleLawError,
    LawFault,
    fit_law,
)
from unspool.study.calibration.codes import CalibrationCode


@dataclass(frozen=True)
class CoastJudgement:
    """Which laws a set of coasts allows.

    - fits: in the order of CoastLaw, without the impossible ones.
    - impossible: the laws that cannot hold, each with the reason.
    - alike: the laws that explain the coasts as well as the best one.
    """

    fits: tuple[CoastFit, ...]
    impossible: tuple[tuple[CoastLaw, LawFault], ...]
    rejected: tuple[CoastLaw, ...]
    alike: tuple[CoastLaw, ...]

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What it means for the builder."""
        return (*_rejections(self), *_choice(self), *_impossible(self))

    def fit(self, law: CoastLaw) -> CoastFit:
        """Raises KeyError if that law is impossible."""
        found = {fit.law: fit for fit in self.fits}
        return found[law]


def judge_coasts(coasts: Sequence[Coast | tuple[float, float]]) -> CoastJudgement:
    """Which laws of resistance these coasts obey; a pair is speed in m/s and distance in m.

    Repeats from the very same speed are needed to reject a law. Raises InputError if the coasts
    cannot be used or no law is possible.
    """
    given = [one if isinstance(one, Coast) else Coast(*one) for one in coasts]
    fits, impossible = [fit_law(given, CoastLaw.CONSTANT)], []
    for law in list(CoastLaw)[1:]:
        try:
            fits.append(fit_law(given, law))
        except ImpossibleLawError as error:
            impossible.append((error.law, error.fault))
    standing = [fit for fit in fits if not fit.rejected]
    best = min(standing, key=lambda fit: fit.squares, default=None)
    limit = best.squares * (1.0 + ALIKE_VARIANCES / best.freedom) if best else 0.0
    return CoastJudgement(
        fits=tuple(fits),
        impossible=tuple(impossible),
        rejected=tuple(fit.law for fit in fits if fit.rejected),
        alike=tuple(fit.law for fit in standing if fit.squares <= limit),
    )


def _rejections(judged: CoastJudgement) -> Iterator[Finding]:
    constant = judged.fits[0]
    if constant.rejected and constant.lack:
        yield warning(CalibrationCode.CONSTANT_LAW_REJECTED, chance=constant.lack.chance)
    elif constant.lack is None:
        yield note(CalibrationCode.NO_REPEATS)


def _choice(judged: CoastJudgement) -> Iterator[Finding]:
    laws = tuple(str(law) for law in judged.alike)
    if not laws:
        yield warning(CalibrationCode.NO_LAW_FITS)
    elif len(laws) > 1:
        yield note(CalibrationCode.LAWS_ALIKE, laws=laws)
    else:
        yield note(CalibrationCode.ONE_LAW, law=laws[0])


def _impossible(judged: CoastJudgement) -> Iterator[Finding]:
    for law, fault in judged.impossible:
        yield note(CalibrationCode.LAW_IMPOSSIBLE, law=str(law), fault=str(fault))
