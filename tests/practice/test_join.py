"""Joining ES modules: the order, and every way in which a module breaks the discipline."""

import pytest
from django.conf import settings
from rjsmin import jsmin

from practice.join import NotJoinable, in_order, joined

PLAY = settings.ROOT / "static/play"


def modules(**sources: str) -> dict[str, str]:
    """Return modules by file name."""
    return {f"{name}.js": source for name, source in sources.items()}


def one(**sources: str) -> str:
    """Return the first script of these modules, where there are no pages for a second."""
    script, rest = joined(modules(more="export const pages = {};\n", **sources), "app.js", "more.js")
    assert rest == 'import {  } from "./play.js";\nexport const pages = {};\n'
    return script.removesuffix("export {  };\n")


def refusal(**sources: str) -> str:
    """Return why these modules cannot be joined."""
    with pytest.raises(NotJoinable) as refused:
        one(**sources)
    return str(refused.value)


def test_each_module_stands_once_after_those_it_imports_as_a_browser_evaluates_them():
    """ECMA-262, section 16.2.1.6.1.3 (InnerModuleEvaluation): the requested modules first, in the order of the text."""
    of = modules(
        app='import { b } from "./b.js";\nimport { a } from "./a.js";\n',
        a='import { c } from "./c.js";\nexport const a = c;\n',
        b='import { c } from "./c.js";\nexport const b = c;\n',
        c="export const c = 1;\n",
        unused="export const d = 1;\n",
    )
    assert in_order(of, "app.js") == ["c.js", "b.js", "a.js", "app.js"]


def test_imports_and_the_word_export_go_and_nothing_else():
    script = one(
        app='// the page\nimport {\n  hit,\n  Day,\n} from "./day.js";\nhit(new Day());\n',
        day="export class Day {}\nexport async function hit(day) {\n  return await day;\n}\n",
    )
    assert script == ("class Day {}\nasync function hit(day) {\n  return await day;\n}\n// the page\nhit(new Day());\n")


@pytest.mark.parametrize(
    "line",
    [
        'import day from "./day.js";',
        'import * as day from "./day.js";',
        'import "./day.js";',
        'import { day } from "../day.js";',
        'const day = await import("./day.js");',
        "export default day;",
        "export { day };",
        'export * from "./day.js";',
    ],
)
def test_another_form_of_import_or_export_is_refused_by_module_and_line(line):
    told = refusal(app=f"{line}\n", day="export const day = 1;\n")
    assert told.startswith("app.js: ")
    assert "cannot be joined. Write import { a, b }" in told


def test_a_comment_may_speak_of_any_form():
    source = '// never import("./x.js")\n/* export default it */\nconst a = 1; // import("./y.js")\n'
    assert one(app=source) == source


def test_a_renamed_import_is_refused():
    told = refusal(app='import { day as today } from "./day.js";\n', day="export const day = 1;\n")
    assert told == "app.js imports day as today from day.js, which exports no such name."


def test_an_import_that_the_other_module_does_not_export_is_refused():
    told = refusal(app='import { day } from "./day.js";\n', day="const day = 1;\n")
    assert told == "app.js imports day from day.js, which exports no such name."


def test_an_import_of_a_module_that_is_not_there_is_refused():
    assert refusal(app='import { day } from "./day.js";\n') == "app.js imports day.js, which is not there."


def test_a_page_without_its_script_is_refused():
    assert refusal() == "The page imports app.js, which is not there."


@pytest.mark.parametrize("declared", ["const kept = 1;", "let a, kept;", "function kept() {}", "export class kept {}"])
def test_a_name_that_two_modules_declare_is_refused(declared):
    told = refusal(app='import { b } from "./b.js";\nconst kept = 1;\n', b=f"export const b = 1;\n{declared}\n")
    assert told == "b.js and app.js both declare kept. Rename one of them."


def test_names_inside_functions_may_be_used_by_all():
    source = 'import { b } from "./b.js";\nfunction run() {\n  const kept = b;\n}\n'
    assert "const kept = b" in one(app=source, b="export const b = 1;\nconst kept = 2;\n")


def test_a_circle_of_imports_is_refused():
    circle = {
        "app": 'import { a } from "./a.js";\n',
        "a": 'import { b } from "./b.js";\nexport const a = 1;\n',
        "b": 'import { a } from "./a.js";\nexport const b = 1;\n',
    }
    assert "app.js -> a.js -> b.js -> a.js" in refusal(**circle)


def test_a_template_inside_a_template_is_refused_because_its_blanks_would_be_lost():
    nested = "const said = `${n} waiting${faulty ? `, ${faulty} not taken` : ''}`;\n"
    assert "${faulty}not taken" in jsmin(nested)
    assert "app.js: a template stands inside a template" in refusal(app=nested)


def test_templates_side_by_side_and_braces_inside_them_are_kept_as_they_are():
    source = "const said = `a  ${f({ n })}  b` + `c  \\`d`; // the `end`\n"
    assert "`a  ${f({ n })}  b`" in jsmin(one(app=source))


def test_what_only_the_other_pages_need_is_a_second_script_that_imports_the_rest_from_the_first():
    first, then = joined(
        modules(
            app='import { a } from "./a.js";\nexport const app = a;\n',
            a="export const a = 1;\nexport const b = 2;\n",
            eye='import { a, b } from "./a.js";\nexport const eye = a + b;\n',
            more='import { b } from "./a.js";\nimport { eye } from "./eye.js";\nexport const pages = { b, eye };\n',
        ),
        "app.js",
        "more.js",
    )
    assert first == "const a = 1;\nconst b = 2;\nconst app = a;\nexport { a, b };\n"
    assert then == 'import { a, b } from "./play.js";\nconst eye = a + b;\nexport const pages = { b, eye };\n'


def test_a_name_of_the_first_script_is_not_declared_in_the_second():
    with pytest.raises(NotJoinable, match=r"app\.js and more\.js both declare pages"):
        joined(modules(app="const pages = 1;\n", more="export const pages = {};\n"), "app.js", "more.js")


def test_the_modules_of_the_phone_page_keep_the_discipline_and_none_is_left_out():
    of = {path.name: path.read_text() for path in PLAY.glob("*.js")}
    # One stands alone: it is to run before the others have come.
    assert {*in_order(of, "app.js"), *in_order(of, "more.js"), "early.js"} == set(of)
    assert in_order(of, "early.js") == ["early.js"]
    assert all(joined(of, "app.js", "more.js"))
