"""`benchcall review`: the supervisor's pages and the screen at the bench."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer


def review(
    port: Annotated[int, typer.Option(min=0, max=65535, help="0 takes any that is free.")] = 8437,
    host: Annotated[
        str, typer.Option(help="Another address of this machine; needs TLS and named users.")
    ] = "127.0.0.1",
    name: Annotated[
        list[str] | None, typer.Option(help="A name by which browsers call this machine.")
    ] = None,
    certificate: Annotated[Path | None, typer.Option(help="PEM file, for TLS.")] = None,
    key: Annotated[Path | None, typer.Option(help="Its key, PEM.")] = None,
    who: Annotated[str, typer.Option(help="Your initials, for corrections and sign-off.")] = "",
    add_user: Annotated[
        str, typer.Option("--add-user", help="Add a named user, or change a password; then end.")
    ] = "",
    erase_now: Annotated[
        bool,
        typer.Option("--erase-now", help="Erase the sound that the depot's rule says; then end."),
    ] = False,
) -> None:
    """See all sessions, hear what was said, correct, answer, sign off; on this machine only.

    Example: benchcall review --who "M. B."
    """
    from assistant.record.store import Store
    from assistant.review.settings import read_settings

    store = Store()
    if add_user:
        from assistant.review.users import Users

        password = typer.prompt("Password", hide_input=True, confirmation_prompt=True)
        Users(store.home).add(add_user, password)
        typer.echo(f"{add_user.strip()} can sign in now.")
        return
    settings = read_settings(store.home)
    if erase_now:
        from assistant.review.retention import erase_due

        for line in erase_due(store, settings.sound):
            typer.echo(line)
        return
    from assistant.depot.database import open_depot
    from assistant.review.catching_up import CatchingUp
    from assistant.review.desk import Desk
    from assistant.review.recent import Recent
    from assistant.review.serve import Address, serve

    address = Address(host, port, certificate, key, tuple(name or ()))
    depot = open_depot(store)
    try:
        recent = Recent(depot)
        with CatchingUp(depot, recent) as catching_up:
            serve(Desk(depot, settings, recent, catching_up), address, who, typer.echo)
    finally:
        depot.close()
