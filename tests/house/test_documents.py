"""The documents say what the code does: settings, dependencies, folders, commands."""

import ast
import os
import re

import pytest

from tests.house.import_order import ROOT, imports_of, modules

TEST_ONLY = {"hypothesis", "icalendar", "playwright", "pytest", "statsmodels", "tests"}
ENVIRONMENT_READERS = {"choice", "text", "words"}


def variables_read(source):
    """Return the names given to the readers of practice/environment.py."""
    calls = (node for node in ast.walk(ast.parse(source)) if isinstance(node, ast.Call))
    return {
        call.args[0].value
        for call in calls
        if isinstance(call.func, ast.Attribute) and call.func.attr in ENVIRONMENT_READERS
        if isinstance(call.args[0], ast.Constant)
    }


def variables_in_table(text):
    """Return the names in the first column of the table below the heading 'Settings'."""
    section = re.split(r"^## Settings$", text, flags=re.MULTILINE)[1].split("\n## ")[0]
    return set(re.findall(r"^\| `([A-Z_]+)` \|", section, flags=re.MULTILINE))


def dependencies_without_reason(text):
    """Return the pinned lines that have no comment line, or more than one, directly above them."""
    lines = ["", *text.splitlines()]
    return [
        line
        for i, line in enumerate(lines)
        if "==" in line and not line.startswith("#")
        if not lines[i - 1].startswith("# ")
    ]


def test_every_setting_read_from_the_environment_stands_in_the_table_of_the_developers_guide():
    source = (ROOT / "practice/settings.py").read_text()
    table = variables_in_table((ROOT / "DEVELOPERS.md").read_text())
    assert variables_read(source) == table


def test_settings_read_the_environment_through_the_strict_readers_only():
    for module, path in modules().items():
        if module != "practice.environment":
            assert "os.environ" not in path.read_text().replace("os.environ.setdefault(", ""), path


def test_the_reader_of_settings_finds_what_is_read():
    assert variables_read('environment.text("A_B", "x")\nenvironment.choice("C", ("d",))\nf("E")') == {
        "A_B",
        "C",
    }
    assert variables_in_table("# T\n\n## Settings\n\n| `A_B` | does |\n\n## Next\n\n| `C` | not |\n") == {"A_B"}


@pytest.mark.parametrize("name", ["requirements.txt", "tests/requirements.txt"])
def test_every_dependency_is_pinned_and_has_one_line_of_reason(name):
    text = (ROOT / name).read_text()
    loose = [line for line in text.splitlines() if line and not line.startswith(("#", "-r")) and "==" not in line]
    assert loose == []
    assert dependencies_without_reason(text) == []


def test_a_dependency_without_a_reason_is_found():
    assert dependencies_without_reason("# why\na==1\nb==2\n# why\nc==3\n") == ["b==2"]


def test_every_test_folder_is_a_package():
    # Without it tests/practice would shadow the real package.
    folders = {path.parent for path in (ROOT / "tests").rglob("*.py")}
    assert [str(folder) for folder in folders if not (folder / "__init__.py").exists()] == []


def test_nothing_outside_tests_imports_a_test_tool():
    ours = modules()
    found = {
        (module, each.module)
        for module, path in ours.items()
        for each in imports_of(module, path.read_text(), known=frozenset(ours))
        if each.module.split(".")[0] in TEST_ONLY
    }
    assert found == set()


def test_readme_holds_the_two_commands_that_the_checks_run():
    lines = (ROOT / "README.md").read_text().splitlines()
    commands = [line for line in lines if line.startswith("python3 -m venv .venv && ")]
    install = "python3 -m venv .venv && .venv/bin/pip install -r {} && .venv/bin/python {}"
    assert commands == [
        install.format("requirements.txt", "manage.py demo"),
        install.format("tests/requirements.txt", "-m pytest"),
    ]


@pytest.mark.parametrize("script", [".ci/run", ".ci/postgres"])
def test_the_scripts_of_the_checks_can_be_executed(script):
    assert os.access(ROOT / script, os.X_OK)


def test_what_the_checks_leave_out_on_both_databases_they_run_without_django():
    script = (ROOT / ".ci/run").read_text()
    assert len(re.findall(r"\$\{numeric\[[@*]\]/#/--ignore=\}", script)) == script.count("--ignore") == 2
    alone = script.split("\nnumeric_alone() {\n")[1].split("\n}\n")[0]
    assert '"${numeric[@]}"' in alone
    assert re.search(r'^step ".*" numeric_alone$', script, flags=re.MULTILINE)
