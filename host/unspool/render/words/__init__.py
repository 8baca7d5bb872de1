"""Numbers and sentences that pages, files and tables share."""
