"""No sentence of a page stands outside the catalogues: not in a template, not in a script, not in what makes pages.

What a page says in another language is looked at in ``tests/building/test_languages.py``; here nothing need be said at
all for it to be found. Faults that end a command are for the terminal, which speaks English.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from html import unescape
from pathlib import Path

import pytest

_ROOT = Path(__file__).resolve().parents[2]
_TEMPLATES = sorted(_ROOT.glob("themes/*/templates/*.j2"))
_SCRIPTS = sorted(path for path in _ROOT.glob("themes/*/src/**/*.js"))
_MAKERS = sorted(
    path
    for folder in ("publishing", "building/steps", "planning")
    for path in (_ROOT / "sitegen" / folder).rglob("*.py")
) + [_ROOT / "sitegen" / "building" / name for name in ("paging.py", "plans.py", "telling.py", "rights.py")]

_FOR_PROGRAMS = {
    "publishing/theme_file.py": "faults of a theme",
    "publishing/colours.py": "what a colour is for, to who writes a theme",
    "building/steps/table.py": "names of steps",
    "building/steps/titling.py": "what stands where the title will",
}
_READ_OUT = re.compile(r'\b(?:aria-label|alt|title|placeholder)="([^"]*)"')
_NAMES = re.compile(r"\{% block (?:kind|canonical|picture) %\}.*?\{% endblock %\}", re.S)
_CODE = re.compile(r"\{#.*?#\}|\{%.*?%\}|\{\{.*?\}\}", re.S)
_LITERAL = re.compile(r'"(?:[^"\\\n]|\\.)*"|`(?:[^`\\]|\\.)*`')


def _letters(text: str) -> bool:
    return re.search(r"[A-Za-z]{2}", text) is not None


def _is_sentence(text: str) -> bool:
    """Whether it is more than a name, a selector or a path: three words that stand apart."""
    return re.search(r"(?:^|\s)[A-Za-z]+ [A-Za-z]+ [A-Za-z]{2,}(?=$|[\s.,:;!?])", text) is not None


def said_by_template(text: str) -> Iterator[str]:
    """The words that a template says itself: between its tags, and in what is read out of them."""
    text = re.sub(r"<(script|style)\b.*?</\1>", "", _CODE.sub("", _NAMES.sub("", text)), flags=re.S)
    yield from (part.strip() for part in re.findall(r">([^<]*)(?=<)", unescape(text)) if _letters(part))
    yield from (part for part in _READ_OUT.findall(text) if _letters(part))


def said_by_script(text: str) -> Iterator[str]:
    """The sentences among the texts of a script, but those of faults of the program itself."""
    text = re.sub(r"/\*.*?\*/|(?<!:)//[^\n]*", "", text, flags=re.S)
    text = re.sub(r"new (?:\w*Error)\((?:[^()]|\([^()]*\))*\)", "", text)
    yield from (
        literal for literal in _LITERAL.findall(text) if _is_sentence(re.sub(r"\$\{[^}]*\}", "", literal[1:-1]))
    )


def said_by_module(text: str) -> Iterator[str]:
    """The sentences among the texts of a module, but what explains the code and what is told as a fault."""
    tree = ast.parse(text)
    above = {child: node for node in ast.walk(tree) for child in ast.iter_child_nodes(node)}
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and _is_sentence(node.value):
            over, told = above[node], False
            if isinstance(over, ast.Expr):
                continue
            while over in above and not told:
                told = isinstance(over, ast.Raise | ast.Assert) or (isinstance(over, ast.Call) and _is_fault(over))
                told = told or (
                    isinstance(over, ast.Assign) and ast.unparse(over.targets[0]) in ("what", "remedy", "alone")
                )
                over = above[over]
            if not told:
                yield node.value


def _is_fault(call: ast.Call) -> bool:
    name = call.func.attr if isinstance(call.func, ast.Attribute) else getattr(call.func, "id", "")
    return name.endswith("Error") or name == "fault"


@pytest.mark.parametrize("path", _TEMPLATES, ids=lambda path: path.name)
def test_a_template_says_nothing_itself(path: Path) -> None:
    assert list(said_by_template(path.read_text(encoding="utf-8"))) == []


def test_a_script_says_nothing_itself() -> None:
    said = {path.name: list(said_by_script(path.read_text(encoding="utf-8"))) for path in _SCRIPTS}
    assert {name: texts for name, texts in said.items() if texts} == {}
    assert len(said) > 50


def test_what_makes_pages_says_nothing_itself() -> None:
    paths = {path.relative_to(_ROOT / "sitegen").as_posix(): path for path in _MAKERS}
    said = {name: list(said_by_module(path.read_text(encoding="utf-8"))) for name, path in paths.items()}
    assert all(said.pop(name) for name in _FOR_PROGRAMS)
    assert {name: texts for name, texts in said.items() if texts} == {}
    assert len(said) > 60


def test_a_sentence_outside_would_be_found() -> None:
    page = '<p class="quiet">{{ t("a.b") }} Tap <b>here</b></p><img alt="the first bars">{# a note #}'
    assert list(said_by_template(page)) == ["Tap", "here", "the first bars"]
    script = 'say("bar"); // not this one here\nbox.append("Tap a note to hear it", `${n} of them all`)'
    script += '\nthrow new Error("no such thing here")'
    assert list(said_by_script(script)) == ['"Tap a note to hear it"', "`${n} of them all`"]
    module = '"""Not said to you."""\nraise ContentError("this is a fault")\nsaid = f"{count} of them here"\n'
    assert list(said_by_module(module)) == [" of them here"]
