"""The published values that the computation is held against, one file a topic.

Each file offers ``CHECKS``, a tuple of `CheckValue`. The tests assert every one of them and the
page on methods prints them, so that page and test cannot disagree.
"""

from advisory.engineering.checks.check_value import MARK_WORDS, CheckValue, Mark

__all__ = ["MARK_WORDS", "CheckValue", "Mark"]
