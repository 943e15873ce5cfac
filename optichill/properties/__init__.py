"""Water, wort and the mains: what they are at a temperature. SI arrays in, SI arrays out."""
