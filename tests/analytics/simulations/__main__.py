"""The acceptance lines as a markdown table: `python -m tests.analytics.simulations --full [SUBJECT]`."""

import argparse
import sys

from .harness import FULL_SEEDS, Line, all_lines

HEAD = "| line | method (3 seeds) | band | naive (3 seeds) |\n| --- | --- | --- | --- |"


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.analytics.simulations", description=__doc__)
    parser.add_argument("--full", action="store_true", required=True, help="full size on three seeds")
    parser.add_argument("subject", nargs="?", help="one subject only (its module's name)")
    subject = parser.parse_args().subject
    lines = [line for line in all_lines() if subject in (None, line.subject)]
    if not lines:
        parser.error(f"no subject {subject}: there are {', '.join(sorted({line.subject for line in all_lines()}))}")
    print(HEAD)
    passed = [print_line(line) for line in lines]
    return 0 if all(passed) else 1


def print_line(line: Line) -> bool:
    method = [line.full(line.run, seed) for seed in FULL_SEEDS]
    naive = [line.full(line.naive, seed) for seed in FULL_SEEDS]
    passed = all(line.reached(value) for value, _ in method) and all(line.missed(*result) for result in naive)
    fault = "" if passed else " **fails**"
    print(f"| {line}{fault} | {cells(method)} | {line.low:g} to {line.high:g} | {cells(naive)} |", flush=True)
    return passed


def cells(results: list[tuple[float, float]]) -> str:
    return ", ".join(f"{value:.4g} ± {mc_se:.2g}" for value, mc_se in results)


if __name__ == "__main__":
    sys.exit(main())
