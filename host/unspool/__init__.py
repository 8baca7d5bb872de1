"""unspool measures, explains and plans the runs of falling-weight cars."""
