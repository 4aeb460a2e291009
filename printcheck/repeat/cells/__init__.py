"""A proposed lattice fitted to the picture cell by cell: map, light, larger and finer lattices."""
