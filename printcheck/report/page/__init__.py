"""Results as pages and files."""
