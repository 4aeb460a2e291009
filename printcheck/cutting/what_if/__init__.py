"""The same project with something changed: other widths, a little less, a length at hand."""
