"""The pages: each a function from what is known to a layout, with nothing remembered between."""
