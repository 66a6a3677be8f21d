"""A released template on an engine as a compiled network, kept until something that matters changes."""
