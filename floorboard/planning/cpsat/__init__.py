"""The exact engine. The only package that imports OR-Tools, and only inside functions."""
