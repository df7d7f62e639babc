"""Load on a grain drill's openers: springs, hydraulic cylinders, soil, oil and frame.

Four floors, each importing only those before it: physics, machine, study, workbook.
"""

__version__ = "0.1.0"
