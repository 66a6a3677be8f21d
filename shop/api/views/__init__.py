"""The handlers: parse, look up, call the act, answer."""
