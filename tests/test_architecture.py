"""The shape of the house: what may import what, how large a piece may be, which words are used, how tests read."""

from __future__ import annotations

import ast
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
SOURCES = sorted([*(ROOT / "vision").rglob("*.py"), *(ROOT / "api").rglob("*.py")])
TESTS = sorted((ROOT / "tests").rglob("test_*.py"))
TOP_LEVEL = {"README.md", "DEVELOPERS.md", "pyproject.toml", "vision", "api", "tests", "sample_images"}
MAX_MODULE_LINES, MAX_BODY_LINES, MAX_POSITIONAL = 300, 40, 5
COMMAND_MODULE = "api/cli.py"
"""its functions have one parameter per option, which is what the command line is made from"""
OTHER_WORDS = re.compile(
    r"\b(jambs?|sills?|lintels?|fiducials?|outliers?|plumbness|credit card|debit card|measurand)\b", re.IGNORECASE
)
"""Words that mean what one of ours already means: wall, curb, head, reference card, suspect, lean, rack."""

Function = ast.FunctionDef | ast.AsyncFunctionDef


def functions(path: Path) -> Iterator[Function]:
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, Function):
            yield node


def body_lines(function: Function) -> int:
    """Lines of the body without the docstring."""
    body = function.body[1:] if ast.get_docstring(function) is not None else function.body
    return (body[-1].end_lineno or 0) - body[0].lineno + 1 if body else 0


def name(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


def test_the_top_level_holds_seven_entries() -> None:
    """A newcomer sees seven things: two texts, one configuration, library, shell, tests, samples."""
    git = shutil.which("git")
    if git is None or not (ROOT / ".git").exists():
        pytest.skip("not a git checkout: only git tells what belongs to the project")
    tracked = subprocess.run([git, "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True).stdout.splitlines()

    assert set() == {path.split("/")[0] for path in tracked if not path.startswith(".")} - TOP_LEVEL


def test_imports_go_one_way() -> None:
    """The layers and the forbidden imports of pyproject.toml hold."""
    code = "from importlinter.cli import lint_imports; raise SystemExit(lint_imports(no_cache=True))"
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=False)

    assert done.returncode == 0, done.stdout + done.stderr


def test_the_shell_uses_the_one_door() -> None:
    """Of the library, api imports vision.check, vision.errors and vision.settings and nothing else."""
    allowed = {"vision.check", "vision.errors", "vision.settings"}
    for path in SOURCES:
        if name(path).startswith("api/"):
            text = path.read_text()
            used = set(re.findall(r"^\s*(?:from|import) (vision[\w.]*)", text, re.MULTILINE))
            used |= {f"vision.{word}" for word in re.findall(r"^\s*from vision import (\w+)", text, re.MULTILINE)}
            assert used - {"vision"} <= allowed, name(path)


@pytest.mark.parametrize("path", SOURCES, ids=name)
def test_a_module_is_small_enough_to_hold_in_the_head(path: Path) -> None:
    """At most 300 lines in a module, 40 in a body, five positional arguments in a signature."""
    assert len(path.read_text().splitlines()) <= MAX_MODULE_LINES
    for function in functions(path):
        assert body_lines(function) <= MAX_BODY_LINES, function.name
        if name(path) != COMMAND_MODULE:
            positional = [a for a in function.args.posonlyargs + function.args.args if a.arg not in ("self", "cls")]
            assert len(positional) <= MAX_POSITIONAL, function.name


@pytest.mark.parametrize("path", SOURCES, ids=name)
def test_records_are_frozen(path: Path) -> None:
    """Dataclasses do not change after they are made; one that must says why in its docstring and is named here."""
    being_drawn_on = {"Canvas"}
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.ClassDef) and node.name not in being_drawn_on:
            for decorator in node.decorator_list:
                text = ast.unparse(decorator)
                assert not text.startswith("dataclass") or "frozen=True" in text, node.name


@pytest.mark.parametrize("path", SOURCES, ids=name)
def test_one_word_for_one_thing(path: Path) -> None:
    """No second word for a thing that has one."""
    assert None is OTHER_WORDS.search(path.read_text())


@pytest.mark.parametrize("path", TESTS, ids=name)
def test_every_test_is_a_sentence(path: Path) -> None:
    """Each test says in one sentence what is expected."""
    for function in functions(path):
        if function.name.startswith("test_"):
            doc = ast.get_docstring(function) or ""
            assert doc.endswith("."), function.name
            assert "\n\n" not in doc, function.name
