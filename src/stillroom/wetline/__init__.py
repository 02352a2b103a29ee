"""The wet line: processes, baths and the day, without input or output."""
