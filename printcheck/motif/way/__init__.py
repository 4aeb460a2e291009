"""Which way up a print can lie."""
