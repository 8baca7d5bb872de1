"""A comparison as JSON; what is not known is null."""

from __future__ import annotations

from unspool.render.json.common import FORMAT, Json, finding_json, known
from unspool.render.words.comparison import difference_sentence
from unspool.render.words.findings import sentence
from unspool.study.compare.statistics import LEVEL, MeanEstimate
from unspool.study.compare.types import Comparison, Difference, Group, GroupSummary, LeftOut


def comparison_json(comparison: Comparison) -> Json:
    """The object that `unspool compare --json` prints, in SI units."""
    c = comparison
    return {
        "unspool": FORMAT,
        "by": c.by,
        "level": LEVEL,
        "groups": [_group(group) for group in c.groups],
        "differences": [_difference(difference) for difference in c.differences],
        "left_out": [_left_out(one) for one in c.left_out],
        "cautions": [sentence(caution) for caution in c.cautions],
        "findings": [finding_json(caution) for caution in c.cautions],
    }


def _group(group: Group) -> Json:
    return {
        "name": group.name,
        "runs": [run.name for run in group.runs],
        "quantities": {s.quantity.key: _summary(s) for s in group.summaries},
    }


def _summary(summary: GroupSummary) -> Json:
    of_all = summary.sample
    return {
        "values": [known(value) for value in summary.values],
        "mean": known(of_all.mean) if of_all else None,
        "sd": known(of_all.sd) if of_all else None,
        **_interval(summary.mean),
        "repeatability": known(summary.repeatability),
    }


def _difference(difference: Difference) -> Json:
    d = difference
    return {
        "quantity": d.quantity.key,
        "first": d.first,
        "second": d.second,
        "difference": known(d.estimate.value),
        **_interval(d.estimate),
        "degrees_of_freedom": known(d.estimate.freedom),
        "paired": d.paired,
        "verdict": str(d.verdict),
        "more_runs_each": d.more_runs,
        "text": difference_sentence(d),
    }


def _left_out(one: LeftOut) -> Json:
    return {"run": one.run, "reason": sentence(one.why), "finding": finding_json(one.why)}


def _interval(estimate: MeanEstimate | None) -> Json:
    low, high = estimate.interval if estimate and estimate.interval else (None, None)
    return {"low": known(low), "high": known(high)}
