"""Broken and hostile input, load and faults: nothing breaks the program."""
