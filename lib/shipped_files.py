"""What a wheel carries besides the code: the files stay where they are, and nobody's own go along."""

from pathlib import Path

from hatchling.builders.hooks.plugin.interface import BuildHookInterface

FOLDERS = ("data", "notebooks")
LEFT_OUT = ("my_", "card_", "phone_", ".")
"""First letters of names that are a user's own, made by a workbook for him, or an editor's."""


def shipped_files(checkout):
    """Each file to be shipped, by its path from the checkout's folder; pictures are the README's."""
    for folder in FOLDERS:
        for path in sorted((checkout / folder).rglob("*")):
            inner = path.relative_to(checkout)
            own = any(part.startswith(LEFT_OUT) for part in inner.parts)
            if path.is_file() and not own and inner.parts[:2] != ("data", "pictures"):
                yield inner


class ShippedFiles(BuildHookInterface):
    """Adds them to a wheel; an editable installation reads them from the checkout."""

    def initialize(self, version, build_data):
        """Called by the builder, with `version` saying which of the two it makes."""
        checkout = Path(self.root).parent
        if version == "standard":
            for inner in shipped_files(checkout):
                build_data["force_include"][str(checkout / inner)] = f"downforce/_shipped/{inner.as_posix()}"
