"""The HTTP routes, one module per noun."""
