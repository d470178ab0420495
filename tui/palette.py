"""What the command palette finds: commands by a part of their name or of what they do; a sentence where none fits."""

from __future__ import annotations

from textual.command import CommandPalette, DiscoveryHit, Hit, Hits, Provider

from trees.language import _

BY_HELP = 0.5
"""A command found by what it does stands behind those found by their name."""


class Commands(Provider):
    """All that can be done on the screen now."""

    async def discover(self) -> Hits:
        """Yield all of it, by name."""
        for name, told, run, _shown in sorted(self.app.get_system_commands(self.screen), key=lambda each: each[0]):
            yield DiscoveryHit(name, run, help=told)

    async def search(self, query: str) -> Hits:
        """Yield what fits the typed part; where nothing does, say so in the language that is spoken."""
        matcher = self.matcher(query)
        found = False
        for name, told, run, _shown in self.app.get_system_commands(self.screen):
            match = matcher.match(name) or (BY_HELP if query.lower() in told.lower() else 0)
            if match > 0:
                found = True
                yield Hit(match, matcher.highlight(name), run, help=told)
        if not found:
            yield Hit(BY_HELP, _("No command holds that."), nothing, help=_("Esc goes back to the screen."))


def nothing() -> None:
    """Do nothing: the line that Enter took was a sentence."""


def palette() -> CommandPalette:
    """Return the palette with its words in the language that is spoken."""
    return CommandPalette(placeholder=_("Search for commands…"), id="--command-palette")
