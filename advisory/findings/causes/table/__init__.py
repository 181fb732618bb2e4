"""The table of causes: a line each, the most usual cause of a mark first.

Mark, cause, evidence of the record, what to check to tell causes apart, what to do until then. The
source of every line is common practice, no source, unless it names another.
"""

from advisory.findings.causes.rules import CauseRule
from advisory.findings.causes.table.cases import LINES as CASES
from advisory.findings.causes.table.running import LINES as RUNNING
from advisory.findings.causes.table.strainer import LINES as STRAINER

CAUSES: tuple[CauseRule, ...] = (*RUNNING, *CASES, *STRAINER)
