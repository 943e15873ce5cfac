"""The commands, one module each: click, reading and printing, no arithmetic."""
