"""Draw the README's picture anew: `python tests/refresh_picture.py`."""

from pathlib import Path

from downforce.workbook.bench import open_bench
from downforce.workbook.start.lesson import first_panel

PICTURE = Path(__file__).parents[1] / "data" / "pictures" / "first_look.png"


def picture():
    """The picture as PNG bytes."""
    panel = first_panel(open_bench("air_drill_12m", "firm"))
    panel.set(height=50)
    return panel.picture_png()


if __name__ == "__main__":
    PICTURE.write_bytes(picture())
    print(f"{PICTURE.name} is drawn anew.")
