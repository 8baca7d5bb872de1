"""unspool measures, explains and plans the runs of falling-weight cars."""

__version__ = "0.1.0"
