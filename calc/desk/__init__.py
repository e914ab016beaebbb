"""What builds, serves and checks the handbook on a maker's machine; never shipped to a reader."""
