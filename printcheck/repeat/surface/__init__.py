"""The working picture and its correlation with itself: where it is high, and what that proposes."""
