"""The programs around the service: broker, worker, clock, web server; for tests more of them.

Each is tied to the process that starts it, and never outlives it.
"""

from pathlib import Path

ROOT = Path(__file__).resolve().parents[3]
