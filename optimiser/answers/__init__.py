"""One question a file: each a function from a request to a small frozen answer."""
