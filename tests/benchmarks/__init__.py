"""Ratios from one run each, printed: ``python -m tests.benchmarks.append`` and the like."""
