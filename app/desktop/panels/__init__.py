"""One view a file, in a folder for each bay."""
