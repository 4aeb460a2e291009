"""The cell of the print: the picture unrolled on its lattice and averaged."""
