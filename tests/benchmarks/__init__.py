"""What a trace and a draw cost, against what they cannot do without: ratios taken in one run on a made-up history.

`python -m tests.benchmarks run` makes the histories that are missing and prints the table; README.md has the numbers.
"""
