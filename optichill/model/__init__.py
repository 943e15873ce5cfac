"""What the brewer states, checked and in SI: kettle, wort, plan, lists, coil. Knows no file."""
