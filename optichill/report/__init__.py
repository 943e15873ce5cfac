"""What a person or another program reads: plain words, tables, JSON. No arithmetic beyond rounding."""
