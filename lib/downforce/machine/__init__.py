"""What a drill, a field and a tractor are: units, frozen models, the file reader, reference tables."""
