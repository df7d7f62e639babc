"""Load on a grain drill's openers: springs, hydraulic cylinders, soil, oil and frame.

Four floors, each importing only those before it: physics, machine, study, workbook.
"""

__version__ = "0.1.0"


def cite(*keys):
    """Sources as BibTeX by their keys, or all of them: `cite("SHI")`; see `machine.bibliography.cite`."""
    from downforce.machine import bibliography

    return bibliography.cite(*keys)
