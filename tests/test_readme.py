"""The README tells the truth: the demo's output stands in it as the command prints it."""

import re
from pathlib import Path

import pytest

from chaincase.cli.main import run

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")


def test_the_output_of_the_demo_is_real(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    shown = re.search(r"<!-- demo HV-102 -->\n```\n(.*?)```", README, re.DOTALL)
    assert shown is not None
    assert run(["demo", "-o", str(tmp_path)]) == 0
    printed = capsys.readouterr().out.replace(str(tmp_path), "demo-out")
    assert shown[1].strip() in printed


def test_every_command_of_the_readme_exists(capsys: pytest.CaptureFixture[str]):
    commands = set(re.findall(r"`chaincase (\w+)", README))
    assert {"identify", "catalog", "units", "demo"} <= commands
    for command in commands:
        assert run([command, "--help"]) == 0
    capsys.readouterr()


def test_every_file_that_the_documents_link_to_exists():
    for document in (ROOT / "README.md", ROOT / "CONTRIBUTING.md", ROOT / "docs" / "design.md"):
        for target in re.findall(r"\]\(([^)#:]+)\)", document.read_text(encoding="utf-8")):
            assert (document.parent / target).exists(), f"{document.name}: {target}"
