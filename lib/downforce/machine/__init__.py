"""What a drill, a field and a tractor are: units, frozen models, the file reader, reference tables."""

from downforce.machine.reader import FileProblem, read_drill, read_field

__all__ = ["FileProblem", "read_drill", "read_field"]
