"""A photo that shows more than one cloth: which part of it the lattice holds on."""
