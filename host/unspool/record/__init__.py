"""From a link into the store: captures as they arrive, runs as they happen."""
