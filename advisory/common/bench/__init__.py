"""The calculators as pages: one question at a bench, its answer, and how it was come by.

Everything is built from what a calculator declares; a `BenchPage` adds the words that people need,
and a `Method` what the computation is and is not. Apps declare theirs in a `bench` module.
"""

from advisory.common.bench.pages import BenchPage, Group, Method, names, page_of, register
from advisory.common.bench.units import Words

__all__ = ["BenchPage", "Group", "Method", "Words", "names", "page_of", "register"]
