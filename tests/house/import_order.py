"""The order of imports, read from the source: each module imports its own layer or a lower one.

    (1) pure        analytics/metrics/ and what PURE_PLANNER names of practice/planner/: no Django, no plotly,
                    no other layer
    (2) practice    units and the like, then accounts, players, venues, clubs, drills, planner, sessions;
                    a later app imports an earlier one
    (3) analysis    analytics/frames.py, stock.py, reach.py, reports.py and the like; then analytics/pages/
    (4) edges       views, urls, commands of both packages, and the project's own settings

Layer 3 brings numpy, pandas and plotly. An edge therefore imports it inside the function that needs it, and
LAZY lists these edges; nothing else imports the house's modules inside a function.
"""

import ast
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PACKAGES = ("practice", "analytics")
APPS = ("accounts", "players", "venues", "clubs", "drills", "planner", "sessions")
PURE_PLANNER = (
    "generator",
    "spread",
    "crossing",
    "orders",
    "ladder",
    "one_ball",
    "check_day",
    "pick_spot",
    "weights",
    "allocation",
    "rounding",
    "easing",
    "stages",
    "bounds",
    "stage_blocks",
    "suggestion",
    "icalendar",
)
PURE = ("analytics.metrics", *(f"practice.planner.{name}" for name in PURE_PLANNER))
ANALYSIS_MODULES = (
    "frames",
    "stock",
    "bag_carries",
    "gaps",
    "bends",
    "drift",
    "reach",
    "judged",
    "needs",
    "reports",
    "target_balls",
    "progress",
    "eye",
    "putting_table",
    "strikes",
    "one_ball",
    "suggesting",
)
ANALYSIS = tuple(f"analytics.{name}" for name in ANALYSIS_MODULES)
ANALYSIS_PAGES = ("analytics.pages",)
BASE = (
    "practice.columns",
    "practice.statements",
    "practice.csv_cells",
    "practice.csv_table",
    "practice.environment",
    "practice.ids",
    "practice.join",
    "practice.log_filters",
    "practice.plotly_css",
    "practice.sqlite3",
    "practice.units",
)
PROJECT_EDGES = ("compress", "errors", "management", "middleware", "pages", "settings", "static", "urls", "wsgi")
EDGES_OF_AN_APP = ("management", "phone", "pages", "sheet_views", "templatetags", "urls", "views")
MAY_NOT_IN_PURE = ("django", "plotly", "practice")

LAZY: tuple[str, ...] = (
    "analytics.management.commands.report",
    "analytics.views",
    "practice.clubs.views",
    "practice.planner.management.commands.make_block",
    "practice.planner.views.builder",
    "practice.planner.views.suggest",
    "practice.planner.views.copies",
    "practice.planner.views.squads",
)
"""The edges that import layer 3 inside a function, for weight."""

LIGHT: tuple[str, ...] = (
    "practice.accounts",
    "practice.sessions.phone",
    "practice.sessions.views",
    "practice.sessions.sync",
    "practice.sessions.work",
)
"""The phone page, sync and sign-in: these never import layer 3, not even inside a function."""


@dataclass(frozen=True)
class Import:
    """One import statement: the module it brings, its line, and whether it stands inside a function."""

    module: str
    line: int
    in_function: bool


def is_in(module: str, folders: tuple[str, ...]) -> bool:
    """Tell whether the module is one of these or lies below one."""
    return any(module == folder or module.startswith(f"{folder}.") for folder in folders)


def layer_of(module: str) -> tuple[int, int] | None:
    """Return (layer, place within it) of one of our modules; None where it has no layer yet."""
    if is_in(module, PURE):
        return 1, 0
    if is_in(module, ANALYSIS):
        return 3, 0
    if is_in(module, ANALYSIS_PAGES):
        return 3, 1
    package, *rest = module.split(".")
    if not rest:
        return 1, 0
    if package == "practice" and rest[0] in APPS:
        is_edge = len(rest) > 1 and rest[1] in EDGES_OF_AN_APP
        return (4, 0) if is_edge else (2, 1 + APPS.index(rest[0]))
    if is_in(module, BASE):
        return 2, 0
    if package == "practice":
        return (4, 0) if rest[0] in PROJECT_EDGES else None
    if rest[0] == "apps":
        return 2, 0
    return (4, 0) if rest[0] in EDGES_OF_AN_APP else None


def name_of(path: Path) -> str:
    """Return the dotted name of a module of this repository."""
    parts = path.relative_to(ROOT).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def modules() -> dict[str, Path]:
    """Return our modules by name; migrations are left out, Django writes their imports."""
    paths = (path for package in PACKAGES for path in sorted((ROOT / package).rglob("*.py")))
    return {name_of(path): path for path in paths if "migrations" not in path.parts}


def imports_of(module: str, source: str, *, known: frozenset[str], is_package: bool = False) -> Iterator[Import]:
    """Yield every import in the source: relative ones resolved, a module told from a name by `known`."""

    def visit(node: ast.AST, in_function: bool) -> Iterator[Import]:
        if isinstance(node, ast.Import):
            for alias in node.names:
                yield Import(alias.name, node.lineno, in_function)
        elif isinstance(node, ast.ImportFrom):
            base = node.module or ""
            if node.level:
                here = module.split(".")
                above = here[: len(here) + is_package - node.level]
                base = ".".join([*above, base]).rstrip(".")
            inner = {f"{base}.{alias.name}" for alias in node.names} & known
            for name in sorted(inner) or [base]:
                yield Import(name, node.lineno, in_function)
        inside = in_function or isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda)
        for child in ast.iter_child_nodes(node):
            yield from visit(child, inside)

    yield from visit(ast.parse(source), False)


def fault_of(module: str, found: Import) -> str | None:
    """Return why this import breaks the order, or None."""
    mine = layer_of(module)
    if mine[0] == 1 and is_in(found.module, MAY_NOT_IN_PURE) and not is_in(found.module, PURE):
        return "a pure module knows neither Django, plotly nor the rest of the house"
    if is_in(found.module, ("plotly",)) and module != "analytics.pages.figures":
        return "only analytics.pages.figures knows plotly"
    if not is_in(found.module, PACKAGES):
        return None
    other = layer_of(found.module)
    if other is None:
        return None
    if other > mine:
        return f"layer {other[0]} from layer {mine[0]}" + (" (a later part)" if other[0] == mine[0] else "")
    return fault_of_place(module, found, other[0])


def fault_of_place(module: str, found: Import, layer: int) -> str | None:
    """Return why an import that points the right way stands in the wrong place, or None."""
    if layer == 3 and is_in(module, LIGHT):
        return "the phone page, sync and sign-in stay light"
    if layer == 3 and layer_of(module)[0] == 4:
        if not found.in_function:
            return "an edge imports layer 3 inside the function that needs it, for weight"
        return None if module in LAZY else "not in LAZY, the list of edges that import layer 3 inside a function"
    if found.in_function:
        return "an import inside a function is only for the weight of layer 3"
    return None


def faults_in(module: str, source: str, *, known: frozenset[str], path: str, is_package: bool = False) -> list[str]:
    """Return a line for every import of this source that breaks the order."""
    if layer_of(module) is None:
        return [f"{path}: {module} has no layer; give it one in tests/house/import_order.py"]
    found_imports = imports_of(module, source, known=known, is_package=is_package)
    return [
        f"{path}:{found.line} imports {found.module}: {fault}"
        for found in found_imports
        if (fault := fault_of(module, found))
    ]


def faults() -> list[str]:
    """Return every break of the order in the repository."""
    ours = modules()
    known = frozenset(ours)
    return [
        fault
        for module, path in ours.items()
        for fault in faults_in(
            module,
            path.read_text(encoding="utf-8"),
            known=known,
            path=str(path.relative_to(ROOT)),
            is_package=path.name == "__init__.py",
        )
    ]
