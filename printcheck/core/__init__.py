"""The vocabulary that all stages share: plain data, units in the names, no numpy at run time."""
