"""Other programs are started without a shell, and nothing in a file's name or a book can make them do anything else."""

from __future__ import annotations

import ast
import subprocess
from pathlib import Path

import pytest
from security_support import RunVerb

from graphviz_export.dot_program import run_dot
from trees.errors import PaperError
from tui.editor import EditorError, editor_command

ROOT = Path(__file__).parent.parent.parent
SOURCES = [path for house in ("tui", "trees", "graphviz_export") for path in (ROOT / house).rglob("*.py")]
NAMES = [
    "$(touch owned)",
    "`touch owned`",
    "a; touch owned",
    "a && touch owned",
    "| touch owned",
    "-c x",
    "+!touch owned",
]


def calls(tree: ast.AST) -> list[tuple[str, ast.Call]]:
    """Return the calls of a file by the name that is called."""
    return [(ast.unparse(node.func), node) for node in ast.walk(tree) if isinstance(node, ast.Call)]


def test_no_shell_and_no_code_from_data() -> None:
    """No file of the house starts a shell, evaluates text as code or unpacks pickles."""
    forbidden = {"eval", "exec", "os.system", "os.popen", "pickle.load", "pickle.loads", "marshal.loads", "yaml.load"}
    forbidden |= {"subprocess.getoutput", "subprocess.getstatusoutput", "tempfile.mktemp", "yaml.unsafe_load"}
    assert SOURCES
    for path in SOURCES:
        for name, call in calls(ast.parse(path.read_text(encoding="utf-8"))):
            assert name not in forbidden, (path, call.lineno)
            shell = [word for word in call.keywords if word.arg == "shell"]
            assert shell == [], (path, call.lineno)
            if name.startswith("subprocess."):
                # A list, or the name of one: never text that is put together.
                assert not isinstance(call.args[0], ast.JoinedStr | ast.Constant | ast.BinOp), (path, call.lineno)


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("editor", ["vi", "/usr/bin/vim -u NONE", "code --wait"])
def test_file_name_is_one_word_of_the_editors_command(tmp_path: Path, name: str, editor: str) -> None:
    """A file's name is the last word of the editor's command, whole and absolute, so that it is no option either."""
    command = editor_command({"EDITOR": editor}, tmp_path / name, 3)
    assert command[-1] == str(tmp_path / name)
    assert command[-1].startswith("/")
    assert len([word for word in command if "owned" in word]) == (1 if "owned" in name else 0)


@pytest.mark.parametrize("editor", ["vi; touch owned", "vi && touch owned", "vi $(touch owned)", "vi | tee owned"])
def test_editor_setting_is_no_shell_line(tmp_path: Path, editor: str) -> None:
    """What stands in EDITOR is cut into words as a shell would, but no shell reads it: signs of one are words."""
    command = editor_command({"EDITOR": editor}, tmp_path / "a.yaml", 1)
    assert command[0] in {"vi", "vi;"}
    subprocess.run(["true", *command[1:]], check=True)
    assert list(Path.cwd().iterdir()) == []
    with pytest.raises(EditorError, match="left open"):
        editor_command({"EDITOR": 'vi "'}, tmp_path / "a.yaml", 1)


@pytest.mark.parametrize("name", ["touch owned", "dot; touch owned", "$(touch owned)", "./no-such", "-x"])
def test_named_layout_program_is_a_program(name: str) -> None:
    """What is named as the layout program is looked up as it stands; no shell reads it."""
    with pytest.raises(PaperError, match="is not there"):
        run_dot("digraph {}", "svg", name)
    assert list(Path.cwd().iterdir()) == []


def test_book_of_a_hostile_repository_runs_nothing(tmp_path: Path, run: RunVerb) -> None:
    """A book that came with a repository of its own can't run a program by that repository's filters or hooks."""
    book, owned = tmp_path / "mine", tmp_path / "owned"
    assert run("new", "book", book).status == 0
    git = ["git", "-C", str(book), "-c", "user.name=a workshop", "-c", "user.email=a@example.org"]
    for command in (["init", "-q"], ["add", "-A"], ["commit", "-qm", "one"]):
        subprocess.run([*git, *command], check=True, capture_output=True)
    for key in (
        "filter.evil.smudge",
        "filter.evil.clean",
        "filter.evil.process",
        "diff.evil.textconv",
        "core.fsmonitor",
    ):
        subprocess.run([*git, "config", key, f"touch '{owned}'; cat"], check=True)
    (book / ".git" / "info").mkdir(exist_ok=True)
    (book / ".git" / "info" / "attributes").write_text("* filter=evil diff=evil\n")
    for hook in ("post-checkout", "reference-transaction", "post-index-change"):
        path = book / ".git" / "hooks" / hook
        path.parent.mkdir(exist_ok=True)
        path.write_text(f"#!/bin/sh\ntouch '{owned}'\n")
        path.chmod(0o755)
    causes = book / "causes.yaml"
    causes.write_text(causes.read_text().replace("share: 5", "share: 6"))
    done = run("diff", "HEAD", book, "--in", book)
    assert done.status == 1
    assert "share" in done.told
    assert not owned.exists()


def test_revision_with_a_way_out_writes_nothing_outside(tmp_path: Path, run: RunVerb) -> None:
    """A link that a revision holds is not made again, so that nothing is read or written through it."""
    book = tmp_path / "mine"
    assert run("new", "book", book).status == 0
    (tmp_path / "secret.yaml").write_text("password: 4711\n")
    (book / "checks" / "stolen.yaml").symlink_to(tmp_path / "secret.yaml")
    git = ["git", "-C", str(book), "-c", "user.name=a workshop", "-c", "user.email=a@example.org"]
    for command in (["init", "-q"], ["add", "-A"], ["commit", "-qm", "one"]):
        subprocess.run([*git, *command], check=True, capture_output=True)
    (book / "checks" / "stolen.yaml").unlink()
    done = run("diff", "HEAD", book, "--in", book)
    assert (done.status, done.errors) == (0, "")


@pytest.mark.parametrize("revision", ["--output=owned", "-x", "HEAD; touch owned", "$(touch owned)", "HEAD:../.."])
def test_revision_is_no_option(tmp_path: Path, run: RunVerb, monkeypatch: pytest.MonkeyPatch, revision: str) -> None:
    """What is named as a revision is one or it is refused; it is no option of git and no line for a shell."""
    book = tmp_path / "mine"
    assert run("new", "book", book).status == 0
    subprocess.run(["git", "-C", str(book), "init", "-q"], check=True, capture_output=True)
    monkeypatch.chdir(book)
    done = run("diff", f"{revision}", book, "--in", book)
    assert done.status == 2
    assert not (book / "owned").exists()
