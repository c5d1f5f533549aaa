"""The command `chaincase` and what all its subcommands share: exit codes and one clear line for bad input."""

import sys
from typing import cast

import click

from chaincase import __version__
from chaincase.cli.terminal import printable
from chaincase.errors import BadInput, ChaincaseError

_COMMANDS = {
    "attachment": "chaincase.cli.attachment:attachment",
    "backup": "chaincase.cli.register:backup",
    "bench": "chaincase.cli.bench:bench",
    "case": "chaincase.cli.case:case",
    "catalog": "chaincase.cli.catalog:catalog",
    "demo": "chaincase.cli.demo:demo",
    "dossier": "chaincase.cli.papers:dossier",
    "duty": "chaincase.cli.duty:duty",
    "export": "chaincase.cli.register:export",
    "figure": "chaincase.cli.figure:figure",
    "identify": "chaincase.cli.identify:identify",
    "import": "chaincase.cli.register:bring_in",
    "inspection": "chaincase.cli.papers:inspection",
    "interchange": "chaincase.cli.interchange:interchange",
    "letter": "chaincase.cli.papers:letter",
    "read": "chaincase.cli.read:read",
    "restore": "chaincase.cli.register:restore",
    "serve": "chaincase.cli.serve:serve",
    "sheet": "chaincase.cli.papers:sheet",
    "spacing": "chaincase.cli.spacing:spacing",
    "survey": "chaincase.cli.survey:survey",
    "tag": "chaincase.cli.papers:tag",
    "units": "chaincase.cli.units:units",
    "work": "chaincase.cli.work:work",
}


class _Lazy(click.Group):
    """Loads a subcommand when it is called, so that a small one need not wait for numpy."""

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002
        """Give the names of the subcommands."""
        return sorted(_COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:  # noqa: ARG002
        """Give a subcommand by its name."""
        if cmd_name not in _COMMANDS:
            return None
        from importlib import import_module

        module, attribute = _COMMANDS[cmd_name].split(":")
        command = getattr(import_module(module), attribute)
        return cast("click.Command", command)


@click.group(cls=_Lazy, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="chaincase")
def cli() -> None:
    """Find out what a worn conveyor or drive chain is, and what must still be known before it can be ordered."""


def main() -> None:
    """Run the command; exit 0 done, 2 bad input, 1 anything else."""
    sys.exit(run(sys.argv[1:]))


def run(arguments: list[str]) -> int:
    """Run the command with arguments and give its exit code."""
    try:
        cli.main(args=arguments, prog_name="chaincase", standalone_mode=False)
    except BadInput as fault:
        return _refuse(str(fault), 2)
    except click.ClickException as fault:
        return _usage(fault)
    except (click.Abort, KeyboardInterrupt):
        return _refuse("stopped", 130)
    except OSError as fault:
        return _refuse(f"{fault.filename}: {fault.strerror}" if fault.filename and fault.strerror else str(fault), 1)
    except ChaincaseError as fault:
        return _refuse(str(fault), 1)
    return 0


def _usage(fault: click.ClickException) -> int:
    if isinstance(fault, click.exceptions.NoArgsIsHelpError):
        click.echo(fault.format_message(), err=True)
        return 2
    return _refuse(fault.format_message(), 2)


def _refuse(message: str, code: int) -> int:
    click.echo(f"chaincase: {printable(message)}", err=True)
    return code
