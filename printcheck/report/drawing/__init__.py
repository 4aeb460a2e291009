"""Results as drawings."""
