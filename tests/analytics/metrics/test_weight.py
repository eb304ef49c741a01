import subprocess
import sys

HEAVY = ("scipy.stats", "pandas", "plotly", "django")
IMPORT_ALL = """
import importlib, pkgutil, sys, analytics.metrics
for module in pkgutil.iter_modules(analytics.metrics.__path__, "analytics.metrics."):
    importlib.import_module(module.name)
print(*(name for name in sys.argv[1:] if name in sys.modules))
"""


def test_importing_the_figures_loads_nothing_heavy():
    run = subprocess.run([sys.executable, "-c", IMPORT_ALL, *HEAVY], capture_output=True, text=True, check=True)
    assert run.stdout.split() == []
