"""Copies from one store to another, each row once, however often it is copied. Two stores come in.

What was copied goes out, in numbers, and the runs that are numbered differently there.
"""

from unspool.store.copying.copied import Copied, Progress
from unspool.store.copying.copy import copy
from unspool.store.copying.hand_over import HandOver

__all__ = ["Copied", "HandOver", "Progress", "copy"]
