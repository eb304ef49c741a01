"""Joins ES modules into two scripts, so that a phone with a poor signal asks for one file instead of two dozen.

The first is all that today's plan and the next ball need; the second comes when one of its pages is asked for.

What makes a plain join right is a discipline, checked here: modules import by name from beside them, nothing is
renamed, no top-level name is used twice. Names that this reading of the text misses are caught by the browser, which
refuses a module that declares a name twice (ECMA-262, early errors of a module's body).
"""

import re
from collections.abc import Mapping
from typing import NamedTuple

IMPORT = re.compile(r"^import \{(?P<names>[^}]*)\} from \"\./(?P<module>[\w-]+\.js)\";\n", re.MULTILINE)
EXPORTED = re.compile(r"^export (?P<rest>(?:const|let|class|(?:async )?function\*?) (?P<name>[\w$]+))", re.MULTILINE)
DECLARED = re.compile(
    r"^(?:export )?(?:(?:async )?function\*?|class|const|let|var) (?P<names>[\w$]+(?:, [\w$]+)*)", re.MULTILINE
)
OTHER_FORMS = re.compile(r"^(?:import(?!\()|export)\b.*|\bimport\([\"'`].*", re.MULTILINE)
COMMENT = re.compile(r"/\*.*?\*/|(?:^|(?<=\s))//[^\n]*", re.DOTALL)
TEMPLATE = re.compile(r"`(?:[^`\\$]|\\.|\$(?!\{)|\$\{(?:[^{}`]|\{[^{}`]*\})*\})*`", re.DOTALL)


class NotJoinable(ValueError):
    """A module breaks the discipline; the message names it and says what to do."""


def joined(modules: Mapping[str, str], first: str, then: str) -> tuple[str, str]:
    """Return two modules that together do what `first` does, and `then` when it is asked for.

    The second holds what `then` needs besides, and imports the rest from the first, which is served as "./play.js".
    So the first must not await the second at its top level: each would wait for the other.
    Raises NotJoinable where that would do something else.
    """
    order = in_order(modules, first)
    later = [name for name in in_order(modules, then) if name not in order]
    check({name: modules[name] for name in (*order, *later)})
    wanted = [found for name in later for found in imports(modules[name]) if found.module in order]
    shared = ", ".join(sorted({name for found in wanted for name in found.names}))
    bodies = [bare(modules[name]) for name in later[:-1]] + [IMPORT.sub("", modules[then])]
    return (
        "".join(bare(modules[name]) for name in order) + f"export {{ {shared} }};\n",
        f'import {{ {shared} }} from "./play.js";\n' + "".join(bodies),
    )


def bare(source: str) -> str:
    """Return a module without its imports and without the word export."""
    return EXPORTED.sub(r"\g<rest>", IMPORT.sub("", source))


class Import(NamedTuple):
    """The names that one line imports, and the module they are in."""

    names: list[str]
    module: str


def imports(source: str) -> list[Import]:
    """Return the imports of a module, in the order of the text."""
    found = IMPORT.finditer(source)
    return [Import([*filter(None, map(str.strip, one["names"].split(",")))], one["module"]) for one in found]


def in_order(modules: Mapping[str, str], entry: str) -> list[str]:
    """Return the names of all modules that `entry` needs, in the order in which a browser evaluates them."""
    order: list[str] = []

    def follow(name: str, way: tuple[str, ...]) -> None:
        if name in way:
            raise NotJoinable(f"Modules import each other in a circle: {' -> '.join((*way, name))}. Split one of them.")
        if name not in modules:
            raise NotJoinable(f"{way[-1] if way else 'The page'} imports {name}, which is not there.")
        if name not in order:
            for found in imports(modules[name]):
                follow(found.module, (*way, name))
            order.append(name)

    follow(entry, ())
    return order


def check(modules: Mapping[str, str]) -> None:
    """Refuse what a plain join would change."""
    for name, source in modules.items():
        check_forms(name, source)
        check_imports(name, modules)
    check_names(modules)


def check_forms(name: str, source: str) -> None:
    """Refuse imports and exports of other forms, and a template inside a template, whose blanks would be lost."""
    other = OTHER_FORMS.search(EXPORTED.sub("", IMPORT.sub("", COMMENT.sub("", source))))
    if other:
        raise NotJoinable(
            f'{name}: "{other[0]}" cannot be joined. Write import {{ a, b }} from "./x.js"; '
            "and export const, let, class or function."
        )
    left = TEMPLATE.sub("", COMMENT.sub("", source))
    if "`" in left:
        near = left[left.index("`") :][:40]
        raise NotJoinable(
            f"{name}: a template stands inside a template near {near!r}. Give the inner one a name first."
        )


def check_imports(name: str, modules: Mapping[str, str]) -> None:
    """Refuse a renamed import and one that the other module does not export."""
    for names, module in imports(modules[name]):
        exported = {export["name"] for export in EXPORTED.finditer(modules[module])}
        for wanted in set(names) - exported:
            raise NotJoinable(f"{name} imports {wanted} from {module}, which exports no such name.")


def check_names(modules: Mapping[str, str]) -> None:
    """Refuse a name that two modules declare at their top level."""
    owner: dict[str, str] = {}
    for module, source in modules.items():
        for declared in DECLARED.finditer(source):
            for name in declared["names"].split(", "):
                if owner.setdefault(name, module) != module:
                    raise NotJoinable(f"{owner[name]} and {module} both declare {name}. Rename one of them.")
