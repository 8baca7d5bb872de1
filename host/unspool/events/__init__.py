"""What happened in a run: events, findings, the energy ledger."""
