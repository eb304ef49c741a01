"""python -m tests.bench runs and says what it measured; how fast anything is, no test says."""

import re
import subprocess
import sys

from tests.house.import_order import ROOT


def test_the_bench_prints_a_ratio_with_its_goal_beside_it():
    done = subprocess.run(
        [sys.executable, "-m", "tests.bench", "--quick", "block"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=300,
    )
    assert done.returncode == 0, done.stderr
    heading, line = done.stdout.splitlines()
    assert heading.split()[-4:] == ["ratio", "goal", "ours", "bare"]
    ratio, goal = re.search(r"shuffling .*? +(\d+\.\d\d) +(\S+)", line).groups()
    assert float(ratio) > 1
    assert goal == "10"


def test_the_bench_refuses_a_subject_that_it_does_not_know():
    done = subprocess.run(
        [sys.executable, "-m", "tests.bench", "nonsense"], cwd=ROOT, capture_output=True, text=True, timeout=60
    )
    assert done.returncode == 2
    assert "log" in done.stderr
    assert "dashboard" in done.stderr
