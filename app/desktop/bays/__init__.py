"""One bay a file: wires panels to the bench."""
