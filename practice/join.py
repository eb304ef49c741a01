"""Joins ES modules into one script, so that a phone with a poor signal asks for one file instead of a dozen.

What makes a plain join right is a discipline, checked here: modules import by name from beside them, nothing is
renamed, no top-level name is used twice. Names that this reading of the text misses are caught by the browser, which
refuses a module that declares a name twice (ECMA-262, early errors of a module's body).
"""

import re
from collections.abc import Mapping

IMPORT = re.compile(r"^import \{(?P<names>[^}]*)\} from \"\./(?P<module>[\w-]+\.js)\";\n", re.MULTILINE)
EXPORTED = re.compile(r"^export (?P<rest>(?:const|let|class|(?:async )?function\*?) (?P<name>[\w$]+))", re.MULTILINE)
DECLARED = re.compile(
    r"^(?:export )?(?:(?:async )?function\*?|class|const|let|var) (?P<names>[\w$]+(?:, [\w$]+)*)", re.MULTILINE
)
OTHER_FORMS = re.compile(r"^(?:import|export)\b.*|\bimport\(.*", re.MULTILINE)
COMMENT = re.compile(r"/\*.*?\*/|(?:^|(?<=\s))//[^\n]*", re.DOTALL)
TEMPLATE = re.compile(r"`(?:[^`\\$]|\\.|\$(?!\{)|\$\{(?:[^{}`]|\{[^{}`]*\})*\})*`", re.DOTALL)


class NotJoinable(ValueError):
    """A module breaks the discipline; the message names it and says what to do."""


def joined(modules: Mapping[str, str], entry: str) -> str:
    """Return one module that does what `entry` does: the modules by name, each after those it imports.

    Raises NotJoinable where that would do something else.
    """
    order = in_order(modules, entry)
    for name in order:
        check_forms(name, modules[name])
        check_imports(name, modules)
    check_names({name: modules[name] for name in order})
    return "".join(EXPORTED.sub(r"\g<rest>", IMPORT.sub("", modules[name])) for name in order)


def in_order(modules: Mapping[str, str], entry: str) -> list[str]:
    """Return the names of all modules that `entry` needs, in the order in which a browser evaluates them."""
    order: list[str] = []

    def follow(name: str, way: tuple[str, ...]) -> None:
        if name in way:
            raise NotJoinable(f"Modules import each other in a circle: {' -> '.join((*way, name))}. Split one of them.")
        if name not in modules:
            raise NotJoinable(f"{way[-1] if way else 'The page'} imports {name}, which is not there.")
        if name not in order:
            for found in IMPORT.finditer(modules[name]):
                follow(found["module"], (*way, name))
            order.append(name)

    follow(entry, ())
    return order


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
    for found in IMPORT.finditer(modules[name]):
        exported = {export["name"] for export in EXPORTED.finditer(modules[found["module"]])}
        for wanted in filter(None, map(str.strip, found["names"].split(","))):
            if wanted not in exported:
                raise NotJoinable(f"{name} imports {wanted} from {found['module']}, which exports no such name.")


def check_names(modules: Mapping[str, str]) -> None:
    """Refuse a name that two modules declare at their top level."""
    owner: dict[str, str] = {}
    for module, source in modules.items():
        for declared in DECLARED.finditer(source):
            for name in declared["names"].split(", "):
                if owner.setdefault(name, module) != module:
                    raise NotJoinable(f"{owner[name]} and {module} both declare {name}. Rename one of them.")
