"""Cards, sheets and other flat rectangles of known size."""
