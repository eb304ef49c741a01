"""python -m tests.bench: every subject, or the one named, as a table with the goal beside each."""

import argparse

from tests.bench.subjects import SUBJECTS, measure_apart


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.bench", description=__doc__)
    parser.add_argument("subject", nargs="?", choices=SUBJECTS, help="measure only this")
    parser.add_argument("--quick", action="store_true", help="fewer rounds and smaller tables, as in CI")
    chosen = parser.parse_args()
    heading = ""
    for subject in [chosen.subject] if chosen.subject else SUBJECTS:
        for measured in measure_apart(subject, chosen.quick):
            if heading != measured.HEADING:
                heading = measured.HEADING
                print(heading, flush=True)
            print(measured.as_line(), flush=True)


if __name__ == "__main__":
    main()
