"""What board and host say to each other: framing, messages, edge coding. Bytes in, values out."""
