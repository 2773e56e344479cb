"""Files that come in and go out: the daybook as a file, tables for other programs."""
