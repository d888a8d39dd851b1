"""The page's colours: as CSS variables, and as the names that charts are drawn with.

A chart says `@ink` instead of a colour, so that one chart serves the light page, the dark page and
paper; the page's script, or `coloured` for a notebook, puts the colours in.
"""

from __future__ import annotations

from typing import Any

from taperback.common.files.resources import shared_toml

SCHEMES = ("light", "dark")


def colours(scheme: str) -> dict[str, str]:
    """Colour of every name in one of the `SCHEMES`."""
    palette = shared_toml("palette.toml")
    roles = {role: palette["okabe_ito"][name] for role, name in palette["role"].items()}
    return {**roles, **palette[scheme]}


def css_variables(scheme: str) -> str:
    """The colours of a scheme as CSS declarations."""
    return "".join(f"--{name}:{value};" for name, value in colours(scheme).items())


def sport_colour(sport: str) -> str:
    """The name of a sport's colour, as charts use it."""
    return f"@{sport}" if sport in shared_toml("palette.toml")["role"] else "@other"


def coloured(figure: Any, scheme: str = "light") -> Any:
    """The same chart with colours in place of their names."""
    if isinstance(figure, dict):
        return {key: coloured(value, scheme) for key, value in figure.items()}
    if isinstance(figure, list):
        return [coloured(value, scheme) for value in figure]
    if isinstance(figure, str) and figure.startswith("@"):
        return colours(scheme)[figure[1:]]
    return figure
