"""Files and processes of the machine: written in one move, bounded, ended with their owner."""
