"""How a print is built: bars, squares, zigzags or figures, told from its edges and its waves."""
