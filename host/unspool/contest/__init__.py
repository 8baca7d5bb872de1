"""A contest. What judges noted comes in, as events, with the rules as settings.

The state of the contest, its order of attempts and its rankings go out.
"""

from unspool.contest.board import Board, Forecaster, Row, board, forecasters
from unspool.contest.codes import ContestCode
from unspool.contest.events import Event, Kind
from unspool.contest.findings import findings
from unspool.contest.order import drawn, order_of
from unspool.contest.ranking import ranked
from unspool.contest.rules import By, Class, Measure, Penalty, Rules, Score, Ties
from unspool.contest.rules_file import parse_rules, rules_toml
from unspool.contest.run_offs import Tie, ties
from unspool.contest.scoring import attempt_score, counting, entry_score, is_over
from unspool.contest.state import Attempt, Contest, Entry, Wheel, contest_of

__all__ = [
    "Attempt",
    "Board",
    "By",
    "Class",
    "Contest",
    "ContestCode",
    "Entry",
    "Event",
    "Forecaster",
    "Kind",
    "Measure",
    "Penalty",
    "Row",
    "Rules",
    "Score",
    "Tie",
    "Ties",
    "Wheel",
    "attempt_score",
    "board",
    "contest_of",
    "counting",
    "drawn",
    "entry_score",
    "findings",
    "forecasters",
    "is_over",
    "order_of",
    "parse_rules",
    "ranked",
    "rules_toml",
    "ties",
]
