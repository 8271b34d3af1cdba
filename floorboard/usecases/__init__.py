"""One verb a module, shared by screens and commands."""
