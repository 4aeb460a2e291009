"""What errors of the print do to a layout: a repeat that is off, and rows that lean."""
