"""What is asked of a layout: pieces, lattice steps, seams, and what cannot be met."""
