"""`chaincase duty ...`: the sums on a duty, one subcommand per question."""

from typing import cast

import click

_QUESTIONS = {
    "drive": "chaincase.cli.duty_drive:drive",
    "length": "chaincase.cli.duty_length:length",
    "pull": "chaincase.cli.duty_pull:pull",
    "sprocket": "chaincase.cli.duty_sprocket:sprocket",
    "verdict": "chaincase.cli.duty_verdict:verdict",
    "wear": "chaincase.cli.duty_wear:wear",
}
"""Subcommand to `module:attribute`; a module is loaded only when its subcommand is called."""


class _Lazy(click.Group):
    """Loads a question when it is asked."""

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002
        """Give the names of the subcommands."""
        return sorted(_QUESTIONS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:  # noqa: ARG002
        """Give a subcommand by its name."""
        if cmd_name not in _QUESTIONS:
            return None
        from importlib import import_module

        module, attribute = _QUESTIONS[cmd_name].split(":")
        return cast("click.Command", getattr(import_module(module), attribute))


@click.group(cls=_Lazy)
def duty() -> None:
    """Check a duty: does the chain fit, how long must it be, what does it pull and carry, how long does it last."""
