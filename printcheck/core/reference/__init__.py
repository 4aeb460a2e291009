"""Objects of known size, as all stages know them."""
