from __future__ import annotations

import json
import subprocess
import sys

import click
import pytest

import narrate as package
from narrate.core.records import Sheet
from narrate.serve.cli.main import narrate as program
from narrate.serve.cli.sheet import sheet
from tests.serve.calling import narrate

COMMANDS = {"": program, **program.commands}


@pytest.mark.parametrize("flag", ["--help", "-h"])
@pytest.mark.parametrize("name", COMMANDS)
def test_help_is_complete(name, flag):
    done = narrate(*name.split(), flag)
    assert (done.status, done.messages) == (0, [])
    text = done.out.decode()
    assert text.startswith(f"Usage: narrate {name}".rstrip())
    for parameter in COMMANDS[name].params:
        if isinstance(parameter, click.Option):
            assert parameter.help, parameter.name
            assert all(option in text for option in parameter.opts)
    assert "narrate sheet notes.txt" in text or "Example" in text


def test_the_help_of_sheet_tells_every_status_and_format():
    text = narrate("sheet", "--help").out.decode()
    for status in ("0  done", "1  done, and a required step", "2  some notes or the call"):
        assert status in text
    assert "[text|html|docx|json|csv]" in text


def test_alone_it_shows_its_help():
    done = narrate()
    assert done.status == 0
    assert done.out == narrate("--help").out


def test_version():
    done = narrate("--version")
    assert (done.status, done.out.decode()) == (0, f"narrate {package.__version__}\n")


def test_schema_is_that_of_the_sheet():
    done = narrate("schema")
    assert done.status == 0
    told = json.loads(done.out)
    assert set(told["properties"]) == set(Sheet.model_fields)
    assert "in" in told["$defs"]["Balance"]["properties"]


@pytest.mark.parametrize("arguments", [["--help"], ["sheet", "--help"], ["--version"], ["sheet"]])
def test_help_loads_none_of_the_language_tools(arguments):
    seen = (
        "import sys\nfrom narrate.serve.cli.main import main\nmain(sys.argv[1:])\n"
        "print([m for m in ('spacy', 'docx', 'jinja2', 'rich', 'pydantic', 'dateparser') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", seen, *arguments], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1] == "[]"


def test_each_option_is_said_once():
    options = [option for parameter in sheet.params for option in parameter.opts]
    assert len(options) == len(set(options))
