"""The cutting layout, drawn to be carried to the table."""
