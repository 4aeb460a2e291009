"""Several overlapping photos of one cloth become one flat picture."""
